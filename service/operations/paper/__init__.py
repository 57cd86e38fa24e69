"""What documents say: a quote's answer, layout and company turned into headings, tables, words."""
