"""Cautions beside the work they belong to, people first. They tell nobody what the law is."""

END = "Follow local law and qualified advice."

# People.

DUST_HEADLINE = "Gloves, damp it first, mask"
DUST = (
    "Dust, droppings and mould spores can cause allergy that builds up over years. Damp what you turn over, "
    "wear gloves and a suitable mask, work in moving air. Wheeze, rash or itching eyes: stop and see a doctor. "
    "If your lungs or immunity are weak, take advice first."
)
FOUL_HEADLINE = "Foul or hot: away from your face, gloves"
FOUL = (
    "Foul or warm substrate gives off gas and uses up the air: open it where air moves, away from your face, "
    "with gloves, never in a closed cupboard. If you feel unwell, leave the room and get medical help."
)
ELECTRIC_HEADLINE = "Water and heaters: dry hands, plug out"
ELECTRIC = (
    "Keep water away from heaters, cables and sockets; dry hands, and the plug out before you touch a heater. "
    "Damp racks need equipment made for damp places, a residual-current device and a thermostat with an "
    "independent cut-out; a qualified person checks the installation."
)
LIFTING_HEADLINE = "Heavy box: from the knees, or in twos"
LIFTING = (
    "A full laying box is heavy. Lift it from the knees and close to your body, or with somebody else, and "
    "never a full one down from above your shoulders."
)
MARKING_HEADLINE = "Glue and blades: moving air, no flame"
MARKING = (
    "Paint, glue and solvents: a drop at a time, in moving air, away from flames and heaters, and off your "
    "skin. Blades: cut away from your hand, and cap them. Keep both clear of the beetle's eyes and joints."
)
CLAWS_HEADLINE = "Claws scratch and large males pinch"
CLAWS = (
    "Claws scratch and large males pinch: hold a beetle by the sides, let it walk off your hand and never pull "
    "it off your skin. Wash your hands and any scratch afterwards; children only beside you."
)
FREEZER_HEADLINE = "Frozen waste stays apart from food"
FREEZER = (
    "What is frozen to kill eggs and mites goes into a closed, labelled bag and a freezer that holds no food."
)

# Animals.

QUARANTINE_HEADLINE = "New animals stay apart, tended last"
QUARANTINE = (
    "Until the end of quarantine, new animals and what they came in stay apart: tools of their own, and they "
    "are tended last. " + END
)
YOUNG_HEADLINE = "Leave eggs and new L1 where they lie"
YOUNG = "Leave eggs and new L1 where they lie, and the firm bottom layer alone while eggs may be in it."
HEADS_HEADLINE = "Not while heads are wider than bodies"
HEADS = "Do not move larvae whose heads are wider than their bodies; eggs that are moved often fail."
RENEWING_HEADLINE = "Change part and keep part"
RENEWING = "Change part and keep part. Look for eggs and larvae in what you take out; nothing is thrown out unrecorded."
NUMBERS_HEADLINE = "Decide first how many you can house"
NUMBERS = (
    "Decide first how many larvae you can house. Males may hurt each other or the female: watch them on the "
    "first day."
)
SURPLUS_HEADLINE = "Decide now where surplus animals go"
SURPLUS = "Decide now where surplus animals go. Local welfare rules may cover insects. " + END

# What leaves the house, and what comes into it.

ESCAPE_HEADLINE = "Look for it now; nothing gets outdoors"
ESCAPE = (
    "Look for it at once, with doors and windows shut. If a beetle that does not belong here may have got "
    "outdoors, ask your authority what to do. " + END
)
RELEASE_HEADLINE = "Nothing alive goes outdoors"
RELEASE = (
    "Animals, eggs and used substrate do not go outdoors where the species does not belong. Your authority "
    "can tell you how to dispose of what is left over. " + END
)
TRAVEL_HEADLINE = "It may need a permit before it travels"
TRAVEL = (
    "Live insects that feed on plants may need a permit before they travel, across a border or between "
    "regions of one country, even where the species is already found. Ask your plant-health authority "
    "first and note the permit here. Some species are protected: keeping or trading them may need a licence. "
    + END
)
