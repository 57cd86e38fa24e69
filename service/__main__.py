"""`python -m service`: the command line, and the workers of the job queue beside it."""

if __name__ == "__main__":
    # Not above: processes that calculate begin by reading this file, and need nothing of it.
    from service.cli.app import main
    from service.jobs import add_to, connect_queue

    main(add_to, connect_queue)
