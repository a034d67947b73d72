"""Lives here: the clock heard: recordings, microphone, what is kept of it, how the rate varies, the recorders' clocks.

Never here: spoken words.
"""
