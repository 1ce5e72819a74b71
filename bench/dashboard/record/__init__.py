"""What is kept of each job."""
