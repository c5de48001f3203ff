"""What a job is: TOML in and out."""
