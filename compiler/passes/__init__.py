"""One file a pass. `pipeline.py` has them in order."""
