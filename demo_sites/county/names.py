"""Invented names: roads, people, firms. None is meant to be that of anybody or anything real."""

LANE_FIRST = (
    "Alderwick", "Ashpole", "Badgerley", "Barnfold", "Beechnut", "Birdsong", "Bramblegate",
    "Bullrush", "Buttercup", "Candlewood", "Cattail", "Cherrypit", "Clovermead", "Cobblepot",
    "Coldspring", "Copperkettle", "Cornflower", "Cowslip", "Cranefly", "Crowberry", "Damselfly",
    "Dandelion", "Dewpond", "Dogwood", "Dovecote", "Driftwood", "Duckweed", "Elderflower",
    "Fencepost", "Fernbrake", "Fiddlehead", "Firecrest", "Fishtrap", "Flatstone", "Foxglove",
    "Gatepost", "Goldfinch", "Gooseneck", "Grasshopper", "Hackberry", "Harebell", "Haystack",
    "Hedgerow", "Hollyhock", "Honeybee", "Hornbeam", "Horsetail", "Huckleberry", "Iron Kettle",
    "Kingfisher", "Lambs Ear", "Lantern", "Larkspur", "Ledgerock", "Lichen", "Lilypad",
    "Longfence", "Lupine", "Mallow", "Marigold", "Marshlight", "Mayfly", "Milkpail", "Minnow",
    "Mossback", "Mulberry", "Mushroom", "Nettle", "Nuthatch", "Oatfield", "Old Sluice", "Osprey",
    "Paddock", "Peppergrass", "Periwinkle", "Pinecone", "Plumbob", "Polliwog", "Puddle",
    "Quillwort",
    "Raincoat", "Ragwort", "Redstart", "Reedmace", "Rhubarb", "Ropeswing", "Rosehip", "Rushlight",
    "Saltlick", "Sandpiper", "Sawhorse", "Shepherds Purse", "Skylark", "Snowberry", "Sorrel",
    "Sparrow", "Spindle", "Stepstone", "Stickleback", "Stillwater", "Strawberry", "Sundew",
    "Swallowtail", "Teasel", "Thimble", "Thistledown", "Three Gates", "Timothy", "Toadflax",
    "Tumbledown", "Turnstile", "Velvetgrass", "Vetch", "Wagtail", "Walnut Shell", "Waterwheel",
    "Wayside", "Whistle", "Windfall", "Woodruff", "Wren", "Yarrow",
)  # fmt: skip
LANE_LAST = ("Lane", "Lane", "Lane", "Drive", "Way", "Court", "Trail", "Place")
"""Endings of lane names, in the shares in which they are drawn."""

GIVEN = (
    "Aldous", "Bettina", "Cosmo", "Dulcie", "Evander", "Fenella", "Gideon", "Hester", "Ignatius",
    "Jessamy", "Kester", "Lavinia", "Magnus", "Nerys", "Orlando", "Prudence", "Quentin", "Rosalba",
    "Silas", "Tabitha", "Ulric", "Verity", "Winifred", "Xanthe", "Yorick", "Zelda", "Barnaby",
    "Clementine", "Desmond", "Euphemia", "Fergus", "Griselda",
)  # fmt: skip
FAMILY_FIRST = (
    "Puddle", "Twig", "Lantern", "Copper", "Gravel", "Thistle", "Bramble", "Otter", "Pickle",
    "Kettle", "Wobble", "Candle", "Marsh", "Tumble", "Feather", "Button", "Turnip", "Willow",
    "Barley", "Drizzle", "Acorn", "Muddle", "Nettle", "Pebble", "Saddle", "Whistle",
)  # fmt: skip
FAMILY_LAST = (
    "combe", "worthy", "hatch", "wick", "barn", "foot", "stead", "croft", "thorpe", "bottom",
    "snap", "bury", "gate",
)  # fmt: skip
"""Family names are put together from two parts, so that each is plainly made up."""

TECHNICIANS = (
    ("Hester Thistlecroft", "HT"),
    ("Magnus Ottersnap", "MO"),
    ("Verity Pebblegate", "VP"),
    ("Cosmo Kettlebury", "CK"),
)
FIRM = "Ellerwash Onsite Care"
COUNTY = "Wendmark County"
TOWN = "Town of Millhaver"
FORMER = "Ulric Drizzlewick"
"""A technician who has left; old visits still name him."""
