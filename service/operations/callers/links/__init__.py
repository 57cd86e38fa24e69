"""Papers under a secret address: fixed when the link is made, shown, and answered once."""
