"""Does a chart still hold?"""
