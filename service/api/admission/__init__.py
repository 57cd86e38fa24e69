"""Who is let in: keys, hosts, origins, proxies, and limits."""
