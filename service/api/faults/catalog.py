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
)
