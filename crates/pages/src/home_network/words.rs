//! The words of a pairing code: 256 short ones that are hard to mistake for each other.
//!
//! Chosen for this program. A code has four of them, drawn with equal chance: 2³² codes. Nothing here fails.

/// The words, in the order of the alphabet.
pub const WORDS: [&str; 256] = [
    "acorn", "actor", "agent", "alarm", "amber", "anchor", "ankle", "apple", "apron", "arrow",
    "autumn", "awning", "bacon", "badge", "bamboo", "banjo", "barley", "basket", "beach", "beaver",
    "bell", "bench", "berry", "bishop", "blanket", "blossom", "bottle", "branch", "bread", "brick",
    "bridge", "broom", "bucket", "butter", "button", "cabin", "cactus", "camel", "candle", "canoe",
    "carpet", "castle", "cellar", "cement", "cherry", "chimney", "cinder", "circus", "clover",
    "cobweb", "coffee", "comet", "copper", "coral", "cotton", "crayon", "cricket", "crown",
    "cuckoo", "curtain", "daisy", "dancer", "dawn", "desk", "diamond", "dinner", "doctor",
    "donkey", "dragon", "drummer", "duck", "dust", "eagle", "earth", "easel", "echo", "elbow",
    "ember", "engine", "evening", "fabric", "falcon", "farmer", "feather", "fence", "ferry",
    "fiddle", "finger", "flag", "flute", "forest", "fountain", "fox", "friend", "frost", "fruit",
    "garden", "garlic", "ghost", "ginger", "giraffe", "glove", "goat", "golden", "grape", "gravel",
    "guitar", "gutter", "hammer", "harbour", "harvest", "hazel", "hedge", "helmet", "honey",
    "horse", "hotel", "hunter", "iceberg", "igloo", "indigo", "ink", "island", "ivory", "jacket",
    "jelly", "jewel", "jigsaw", "jungle", "kennel", "kettle", "kitchen", "kite", "knot", "ladder",
    "lagoon", "lantern", "laurel", "leather", "lemon", "lentil", "letter", "lilac", "lizard",
    "lobster", "locket", "lumber", "magnet", "mango", "maple", "meadow", "mill", "mirror",
    "monkey", "morning", "muffin", "mustard", "napkin", "needle", "nest", "night", "noodle",
    "nutmeg", "oatmeal", "ocean", "office", "olive", "onion", "orange", "orchard", "otter", "oven",
    "oyster", "paddle", "palace", "pancake", "parrot", "pasture", "peach", "pebble", "pencil",
    "pepper", "piano", "picnic", "pigeon", "pillow", "pirate", "planet", "plum", "pocket", "pony",
    "poppy", "potato", "pumpkin", "puppet", "purple", "quail", "quartz", "quilt", "rabbit",
    "radish", "raft", "ravine", "ribbon", "river", "robin", "rocket", "rooster", "rope", "rudder",
    "saddle", "sailor", "salmon", "sandal", "scarf", "school", "shadow", "shovel", "silver",
    "spoon", "squirrel", "stable", "stove", "sugar", "tailor", "teapot", "temple", "thimble",
    "ticket", "tiger", "timber", "toast", "tomato", "trumpet", "tulip", "tunnel", "turkey",
    "umbrella", "uncle", "valley", "velvet", "vessel", "village", "violet", "wagon", "walnut",
    "weather", "whale", "willow", "wizard", "wolf", "yarn", "yellow", "zebra", "zigzag", "zinc",
];
