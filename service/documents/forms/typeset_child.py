"""Sets one document in a process of its own, with bounds on memory and time.

    python -I typeset_child.py CALLER < REQUEST > FILES

Typst keeps what it worked out of the last ten documents, and nothing makes it let go: some 40 MiB
of usual papers, gigabytes of the largest. Where memory runs out it ends its process. So the process
is this one, and a large document waits until no other large one is set. CALLER is the process that
waits for it: when that is gone, so is this. REQUEST is what `typst.compile` is told, as JSON; FILES
are one PDF, or a picture for each page, each after its length in eight bytes. Imports nothing of
the service.
"""

from __future__ import annotations

import fcntl
import json
import os
import resource
import sys
import threading
import time

MEMORY_BYTES = 768 * 1024 * 1024
CPU_SECONDS = 20
# Characters of a document that is told as JSON; below it 150 MiB are enough, of 600 rows in tables.
LARGE = 400_000
LENGTH_BYTES = 8
LOOK_SECONDS = 0.1
MOST_WORDS = 2_000  # characters of what is wrong


def main(caller: int) -> None:
    """Set the document that is asked for on stdin."""
    threading.Thread(target=_end_with, args=(caller,), daemon=True).start()
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    os.environ["RAYON_NUM_THREADS"] = "1"  # a document has one core, and no memory for more
    import typst  # noqa: PLC0415  not before the limits hold

    asked = json.load(sys.stdin)
    with open(__file__, "rb") as turn:  # noqa: PTH123  this file, as all such processes know it
        if len(asked["sys_inputs"]["document"]) > LARGE:
            fcntl.flock(turn, fcntl.LOCK_EX)
        try:
            made = typst.compile(**asked)
        except typst.TypstError as error:
            sys.exit(str(error)[:MOST_WORDS])
    for each in made if isinstance(made, list) else [made]:
        sys.stdout.buffer.write(len(each).to_bytes(LENGTH_BYTES) + each)


def _end_with(caller: int) -> None:
    while os.getppid() == caller:
        time.sleep(LOOK_SECONDS)
    os._exit(1)


if __name__ == "__main__":
    main(int(sys.argv[1]))
