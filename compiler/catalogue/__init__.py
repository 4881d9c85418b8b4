"""What is known of pipe, fittings, valves, joints, services: tables, a library, and what files declare of their own."""
