"""Using the chart on the course: which shot, which wedges, the day, the round."""
