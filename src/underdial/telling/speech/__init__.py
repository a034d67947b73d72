"""Lives here: what was said, word by word: captions, words in one spelling, turns of speech.

Never here: a part of a clock or its state.
"""
