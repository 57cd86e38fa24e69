"""The catalog's folders and files; entries that aren't there."""

from __future__ import annotations

from service.api.faults.kind import ProblemKind

KINDS = (
    ProblemKind(
        "catalog-invalid",
        "The catalog on disk has faults",
        "Nothing was loaded: the catalog stays as it was. `errors` names file and key, what was "
        "found and what would be right; `python -m service catalog check` prints the same list.",
    ),
    ProblemKind(
        "revision-changed",
        "A price list changed under the same revision",
        "Quotes name a price list by its revision, so one revision says one thing for good. Give "
        "the file with the new prices the next `revision`, and load the catalog again.",
    ),
    ProblemKind(
        "folder-missing",
        "A folder of the catalog can't be read",
        "The folder isn't there, or may not be read. Whoever runs the service names its folders "
        "in SERVICE_CATALOG_PATH.",
    ),
    ProblemKind(
        "folder-unknown",
        "A folder holds no kind of catalog entry",
        "The folders of a catalog are called after the kinds of entries; the hint lists them.",
    ),
    ProblemKind(
        "file-misplaced",
        "A file stands beside the folders of its kind",
        "Each entry is a file in the folder of its kind, such as soils/clay.toml.",
    ),
    ProblemKind(
        "logo-unfit",
        "A logo can't be used",
        "A logo is an SVG or PNG file beside the company's file, at most 256 KiB. It holds shapes "
        "and words alone: no script, no embedded document, no link to anything outside.",
    ),
    ProblemKind(
        "file-unknown",
        "A file is no catalog entry",
        "Entries are files that end in .toml and are called like the entry's id. Take other "
        "files out of the folder.",
    ),
    ProblemKind(
        "file-outside",
        "A link leads out of the catalog folder",
        "A file of the catalog stands in its folder. A link to a file elsewhere isn't followed; "
        "copy the file.",
    ),
    ProblemKind(
        "file-unreadable",
        "A file can't be read",
        "The file isn't there any more, or may not be read. The message gives what the system "
        "said.",
    ),
    ProblemKind(
        "not-toml",
        "A file is not TOML",
        "The message says where reading ended. Files are UTF-8; texts stand in quotes.",
    ),
    ProblemKind(
        "nested-too-deep",
        "A file is nested too deeply",
        "No entry needs tables or lists within so many others.",
    ),
    ProblemKind(
        "not-finite",
        "A number is not finite",
        "inf and nan are no figures of an entry.",
    ),
    ProblemKind(
        "id-not-file-name",
        "An id is not the name of its file",
        "An entry's id is the name of its file without .toml. Rename one of them.",
    ),
    ProblemKind(
        "id-twice",
        "An id stands twice",
        "An id names one entry, one task or one row. The message says where the first one stands.",
    ),
    ProblemKind(
        "base-unfit",
        "A jurisdiction can't stand on the one it names",
        "based_on names a jurisdiction that stands on its own, such as plain.",
    ),
    ProblemKind(
        "plug-in-broken",
        "A plug-in has no folder",
        "An installed package says that it brings catalog files, and its folder isn't there. "
        "Install it again, or remove it.",
    ),
    ProblemKind(
        "table-missing",
        "A jurisdiction lacks a table",
        "Earthwork can't be quoted without it. Give the table, or name a jurisdiction in based_on "
        "that has it.",
    ),
    ProblemKind(
        "too-many-general",
        "A jurisdiction says too much on every job",
        "At most six cautions may be general, those of based_on included. Give the others a "
        "trigger, so that they stand where they apply.",
    ),
    ProblemKind(
        "replaces-unfit",
        "A caution speaks for one that it can't",
        "`replaces` names codes of other cautions of the place, those of based_on included, and no "
        "two speak for each other.",
    ),
    # What `catalog check` finds when it compares entries with each other: most are warnings.
    ProblemKind(
        "unit-density",
        "A unit is too light or too heavy for its size",
        "Weight over volume without holes is far from that of the usual material: look at the "
        "weight, the void volume and the three lengths.",
    ),
    ProblemKind(
        "in-place-weight-disagrees",
        "A filled unit and the stack weigh differently",
        "The unit weight in place is the weight of a unit and of the stone in its voids, over its "
        "volume. Screening goes by it, so the two agree within 2 %.",
    ),
    ProblemKind(
        "creep-factor",
        "A reinforcement creeps less, or more, than published",
        "What a sheet holds for good is its strength over the factor for creep, so a factor below "
        "all that is published of its polymer is refused. Take it from the maker's creep tests, "
        "and state the polymer.",
    ),
    ProblemKind(
        "same-work-twice",
        "The same work has two rates",
        "A task of the rates and a site task do the same work at different hours. One of them is "
        "wrong, or they are not the same work.",
    ),
    ProblemKind(
        "rate-far-from-published",
        "A rate is far from published ones",
        "The hours differ by more than a factor from a published rate for such work. Crews differ, "
        "so it is a warning: measure your own.",
    ),
    ProblemKind(
        "lift-over-weight",
        "A machine lifts more than it weighs",
        "What a machine may lift is well below its weight: one of the two figures is wrong.",
    ),
    ProblemKind(
        "load-over-lift",
        "A load is heavier than its machine lifts",
        "Look at the load of the task and at what the machine may lift.",
    ),
    ProblemKind(
        "pallet-over-lift",
        "A full pallet is heavier than any machine lifts",
        "A pallet that no machine of the rates lifts has to be broken: a task with "
        "`breaks_pallets` counts the hours, or a truck with a crane sets it down.",
    ),
)
