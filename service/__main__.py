"""`python -m service`: the command line, and the workers of the job queue beside it."""

from service.cli.app import main
from service.jobs import add_to, connect_queue

if __name__ == "__main__":
    main(add_to, connect_queue)
