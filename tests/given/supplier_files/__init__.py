"""Price files as suppliers send them, and by hand what is read of each. All of it is invented."""

from tests.given.supplier_files.books import BOOKS
from tests.given.supplier_files.costs import COSTS
from tests.given.supplier_files.kind import SupplierFile
from tests.given.supplier_files.rows import ROWS
from tests.given.supplier_files.texts import TEXTS
from tests.given.supplier_files.units import UNITS

SUPPLIER_FILES: tuple[SupplierFile, ...] = (*TEXTS, *COSTS, *UNITS, *ROWS, *BOOKS)
