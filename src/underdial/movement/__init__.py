"""Lives here: power, trains, escapement, oscillator and strike as composed; counts, periods, going time, missing
wheels, tooth forms.

Never here: friction, time series, files.
"""
