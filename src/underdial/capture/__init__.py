"""Lives here: microphone, camera, film and sound files, the recogniser of speech.

Never here: a judgement on what was captured.
"""
