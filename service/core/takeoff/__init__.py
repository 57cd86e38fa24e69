"""What is bought: lines of material, ordered as it is sold. No price is known here."""
