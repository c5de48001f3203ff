"""What strays, drawn: how likely the job is to clean up."""
