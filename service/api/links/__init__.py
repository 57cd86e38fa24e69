"""What stands under the secret address of a link: pages for whoever has it."""
