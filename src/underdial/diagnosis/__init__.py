"""Lives here: causes, likelihoods, the predicted outcome of a choice, the next test.

Never here: a random source of its own (rng is passed in).
"""
