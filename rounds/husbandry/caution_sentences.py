"""Cautions shown once beside the acts they belong to. They tell nobody what the law is."""

_END = "Follow local law and qualified advice."

TRAVEL = (
    "Live insects that feed on plants may need a permit before they travel, across a border or between "
    "regions of one country, even where the species is already found. Ask your plant-health authority "
    "first and note the permit here. Some species are protected: keeping or trading them may need a licence. "
    + _END
)
QUARANTINE = (
    "Until the end of quarantine, new animals and what they came in stay apart: tools of their own, and they "
    "are tended last. " + _END
)
RELEASE = (
    "Animals, eggs and used substrate do not go outdoors where the species does not belong. Your authority "
    "can tell you how to dispose of what is left over. " + _END
)
FOUL = (
    "Foul or warm substrate gives off gas and uses up the air: open it where air moves, away from your face, "
    "with gloves, never in a closed cupboard. If you feel unwell, leave the room and get medical help. "
    "Damp mouldy substrate before you turn it. " + _END
)
