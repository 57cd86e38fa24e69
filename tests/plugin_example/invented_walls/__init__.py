"""Looking for the catalog folder must never run this."""

raise RuntimeError("the code of a plug-in was run")
