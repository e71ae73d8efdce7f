//! The words of a fingerprint phrase: 256 short plain words chosen for this
//! purpose, at least two letters apart, none said like another.

/// The word of each byte, in alphabetical order.
#[rustfmt::skip]
pub(super) const WORDS: [&str; 256] = [
    "acorn", "album", "alley", "amber", "anchor", "ankle", "apple", "apron", "arrow", "atlas",
    "autumn", "awning", "badge", "baker", "bamboo", "banjo", "barrel", "basket", "beacon",
    "beetle", "bench", "bicycle", "biscuit", "blanket", "blossom", "bonnet", "border", "bottle",
    "branch", "bridge", "bronze", "bucket", "butter", "cabin", "cactus", "camel", "candle",
    "canyon", "carpet", "castle", "cement", "cherry", "chimney", "cider", "circus", "clover",
    "cobweb", "coffee", "comet", "copper", "coral", "cotton", "cradle", "cricket", "crystal",
    "curtain", "cushion", "daisy", "dancer", "desert", "diamond", "dinner", "doctor", "dolphin",
    "donkey", "dragon", "drawer", "drum", "eagle", "echo", "elbow", "eleven", "empty", "engine",
    "evening", "fabric", "falcon", "farmer", "feather", "fiddle", "finger", "flannel", "flute",
    "forest", "fossil", "fountain", "fox", "frost", "funnel", "galaxy", "garden", "garlic",
    "gentle", "giant", "glacier", "glove", "goblin", "golden", "gravel", "guitar", "hammer",
    "harbour", "harvest", "hazel", "helmet", "hermit", "hollow", "honey", "hornet", "hotel",
    "hungry", "iceberg", "igloo", "indigo", "insect", "island", "ivory", "jacket", "jaguar",
    "jelly", "jewel", "jigsaw", "journal", "jungle", "kayak", "kennel", "kettle", "kidney",
    "kitchen", "kiwi", "knuckle", "ladder", "lagoon", "lantern", "laundry", "lemon", "letter",
    "lilac", "linen", "lizard", "lobster", "lunar", "magnet", "mango", "maple", "marble",
    "meadow", "mirror", "mitten", "morning", "muffin", "museum", "mustard", "napkin", "nectar",
    "needle", "nickel", "nutmeg", "oasis", "object", "ocean", "olive", "onion", "orange", "orbit",
    "orchid", "otter", "oven", "oyster", "palace", "panther", "paper", "parrot", "peanut",
    "pelican", "pencil", "pepper", "piano", "pickle", "pirate", "piston", "planet", "plaster",
    "pocket", "pony", "potato", "puddle", "puppet", "pyramid", "quarry", "quilt", "rabbit",
    "radio", "raisin", "rhubarb", "ribbon", "ripple", "river", "rooster", "rubber", "saddle",
    "saffron", "salmon", "sandal", "saucer", "scarf", "school", "shadow", "shovel", "silver",
    "sister", "sketch", "slipper", "sparrow", "spider", "spoon", "squirrel", "stable", "sugar",
    "summer", "sunset", "tailor", "talent", "tender", "thimble", "thunder", "tiger", "tinsel",
    "topaz", "tractor", "trolley", "trumpet", "tulip", "turtle", "uncle", "unicorn", "vanilla",
    "velvet", "village", "violet", "voyage", "waffle", "wagon", "walnut", "walrus", "water",
    "weasel", "whisker", "willow", "window", "winter", "wombat", "yogurt", "zebra", "zigzag",
    "zipper",
];
