"""The events: everything that can happen on the floor, frozen, in the past tense; to and from JSON.

Never folds them: what they mean for the floor is floor.core.folds. An event is its class, in one of the files beside
this one: nothing else lists it.
"""
