"""Background tasks, daily maintenance and what the job queue leaves behind."""
