"""The key machine of the walk: a state and a key give a state and effects.

Here: modes, prompts and what each key means in them; pure, so bursts and slow typing end alike.
Not here: the book, the clock, the rules; `rounds.walk.recorder` carries the effects out.
"""
