"""The order of work: phases, spans of days, open trench, weather."""
