"""The pictures and notes of one job, leafed through at the record and at the survey."""
