"""What a chart is made of: one shot, and several sessions taken together."""
