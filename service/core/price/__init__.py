"""What it costs: lines, freight, hire and the roll-up."""
