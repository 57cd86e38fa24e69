"""The same operations on a job queue, for those who outgrow one process: PostgreSQL alone."""

from service.jobs.command import add_to, connect_queue

__all__ = ["add_to", "connect_queue"]
