"""The forms of a document: a web page, PDF and pictures, CSV and workbooks."""
