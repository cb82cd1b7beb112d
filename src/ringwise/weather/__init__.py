"""Daily weather: reading, short gaps, weather years to come, frost counted over them. Knows no plants."""
