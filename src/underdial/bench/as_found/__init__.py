"""Lives here: the look-over: words, film and pictures taken in, findings read through and put right.

Never here: listening to the tick; what findings mean.
"""
