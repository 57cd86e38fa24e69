"""The page to look at: a request, its drawings and its price; every figure is the API's."""
