"""Documents: a quote on paper, in the form that is asked for."""
