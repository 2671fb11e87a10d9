"""The visit's report: the job, what was found, what was done."""
