"""From a job to the readings that it should give."""
