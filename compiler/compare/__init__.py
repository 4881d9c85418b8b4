"""What differs between two states of a job, by meaning; what that does to its lists; what is still to be ordered."""
