"""Words that end, or begin, the name of a business, a school, a church."""

from bot.reading.words import words_of

ORGANISATIONS = words_of(
    "church chapel school apartments dental clinic hospital hotel motel inn storage farms farm dairy ranch manor "
    "plaza academy college university foods market auto motors hardware supply brewing brewery winery vineyard "
    "properties management realty bank credit union fitness gym lodge club estates village towers center centre "
    "theater theatre museum library temple synagogue mosque diner grill cafe bakery warehouse logistics trucking "
    "machine tool industries manufacturing inc llc co corp company ministries parish cathedral township county "
    "district schools elementary high middle iglesia escuela ferreteria taller restaurante taqueria panaderia hall "
    "arena rink marina nursery kennels veterinary veterinarian pediatrics orthodontics physical therapy orchard "
    "orchards mills mill lumber steel distributing produce packing tire tires collision body rentals rental self "
    "condos condominiums"
)
