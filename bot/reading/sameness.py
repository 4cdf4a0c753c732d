"""Words behind "same": which slots are as before ("same voltage", "same lamp")."""

_SAME_SLOTS = {
    "voltage": ("voltage",), "volts": ("voltage",), "volt": ("voltage",), "voltaje": ("voltage",),
    "height": ("height_ft",), "altura": ("height_ft",), "ht": ("height_ft",), "lamp": ("source", "watts", "lamps", "lamp_feet"), "lamps": ("source", "watts", "lamps", "lamp_feet"),
    "bulb": ("source", "watts", "lamps", "lamp_feet"), "bulbs": ("source", "watts", "lamps", "lamp_feet"), "watts": ("watts",), "wattage": ("watts",), "finish": ("finish",),
    "color": ("finish",), "colour": ("finish",), "mount": ("mount",), "mounting": ("mount",), "controls": ("controls",),
    "optic": ("optic",), "optics": ("optic",), "distribution": ("optic",), "kelvin": ("cct_k",), "source": ("source",),
}  # fmt: skip


def same_slots(word: str) -> tuple[str, ...]:
    """The slots that "same <word>" speaks of; none where the word is no slot's name."""
    return _SAME_SLOTS.get(word, ()) if word != "type" else _SAME_SLOTS["lamp"]
