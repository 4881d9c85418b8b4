"""From findings and tables to text, CSV, JSON and Markdown: one file a renderer. Nothing here knows pipe."""
