//! Every shared word of the record: closed lists that are stored, signed, exchanged and shown under the same
//! name everywhere. Pure. The words are the trade's where the trade has one; a part is named neutrally (see
//! `vehicle`), because "hood", "boot" and "wing" mean different parts in the UK and the US.
//!
//! A word, once released, is never renamed or removed: old logs hold it. A word that this version does not know
//! makes its event an unknown one, which is kept, hashed and shown as unknown.

use serde::{Deserialize, Serialize};

macro_rules! words {
    ($($(#[$doc:meta])* $name:ident { $($variant:ident = $word:literal),* $(,)? })*) => { $(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, uniffi::Enum)]
        #[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
        #[allow(missing_docs, reason = "a word says itself; texts for readers are in `vehicle/words`")]
        pub enum $name {
            $(#[serde(rename = $word)] $variant),*
        }

        impl $name {
            /// Every word of the list, in the order in which it is offered.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];

            /// The word as it is stored and exchanged.
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),* }
            }
        }
    )* };
}

words! {
    /// Whose English is spoken. Stored words do not depend on it.
    Locale {
        EnGb = "en-GB",
        EnUs = "en-US",
    }
    /// The outline of a vehicle.
    Form {
        Hatch3 = "hatch-3",
        Hatch5 = "hatch-5",
        Saloon = "saloon",
        Estate = "estate",
        Suv = "suv",
        PeopleCarrier = "people-carrier",
        Coupe = "coupe",
        Convertible = "convertible",
        Pickup = "pickup",
        Van = "van",
        Motorcycle = "motorcycle",
    }
    /// What the paint is.
    Finish {
        Solid = "solid",
        Metallic = "metallic",
        Matt = "matt",
        SingleStage = "single-stage",
        Wrapped = "wrapped",
        Unknown = "unknown",
    }
    /// A part of the vehicle that this visit deals with; the rest reads "not part of this visit".
    Scope {
        Outside = "outside",
        Inside = "inside",
        Wheels = "wheels",
        Glass = "glass",
        EngineBay = "engine-bay",
    }
    /// When in the visit a walk-around is made. What is found after the wash is never shown as found on arrival.
    Stage {
        AsFound = "as-found",
        AfterWash = "after-wash",
        Handover = "handover",
        ComeBack = "come-back",
    }
    /// What a walk-around says of one panel; the four are never merged.
    Outcome {
        NothingSeen = "nothing-seen",
        Marks = "marks",
        CouldNotSee = "could-not-see",
        NotLooked = "not-looked",
    }
    /// Why a panel could not be seen.
    Why {
        Dirt = "dirt",
        Wet = "wet",
        Dark = "dark",
        Blocked = "blocked",
    }
    /// How near the look was. Fast touches never become close looks.
    Distance {
        WalkPast = "walk-past",
        Close = "close",
    }
    /// Under which kind of light a look was made.
    Light {
        Sun = "sun",
        Point = "point",
        Line = "line",
        Soft = "soft",
        Raking = "raking",
        Dark = "dark",
    }
    /// What else is bright while a look is made: it drowns a lamp.
    Ambient {
        Dark = "dark",
        Indoors = "indoors",
        Shade = "shade",
        Daylight = "daylight",
    }
    /// How a look is made from where a person stands.
    WayOfLooking {
        Standing = "standing",
        Crouching = "crouching",
        AlongSide = "along-side",
        LampTurned = "lamp-turned",
        WalkingAlong = "walking-along",
    }
    /// Which way a line lamp lies, as the vehicle stands.
    Lies {
        Along = "along",
        Across = "across",
        Upright = "upright",
    }
    /// How the way the vehicle points is known.
    HeadingFrom {
        Glare = "glare",
        EarlierLook = "earlier-look",
        Street = "street",
        Compass = "compass",
    }
    /// What a surface is. Chemistry and rubbing depend on it; where it is not known, the careful one is taken.
    SurfaceKind {
        PaintSolid = "paint-solid",
        PaintMetallic = "paint-metallic",
        PaintMatt = "paint-matt",
        PaintSingleStage = "paint-single-stage",
        PaintFresh = "paint-fresh",
        PaintPeeling = "paint-peeling",
        PaintUnknown = "paint-unknown",
        Film = "film",
        Wrap = "wrap",
        FilmEdge = "film-edge",
        Decal = "decal",
        Glass = "glass",
        GlassTinted = "glass-tinted",
        WheelLacquered = "wheel-lacquered",
        WheelPowderCoated = "wheel-powder-coated",
        WheelDiamondCut = "wheel-diamond-cut",
        WheelBare = "wheel-bare",
        WheelAnodised = "wheel-anodised",
        WheelChrome = "wheel-chrome",
        WheelUnknown = "wheel-unknown",
        TyreWall = "tyre-wall",
        TyreTread = "tyre-tread",
        TyreMotorcycle = "tyre-motorcycle",
        TrimTextured = "trim-textured",
        TrimGlossBlack = "trim-gloss-black",
        TrimBright = "trim-bright",
        Rubber = "rubber",
        Lamp = "lamp",
        SoftTop = "soft-top",
        LeatherCoated = "leather-coated",
        LeatherBare = "leather-bare",
        Suede = "suede",
        Fabric = "fabric",
        Headlining = "headlining",
        Carpet = "carpet",
        PlasticInside = "plastic-inside",
        Seat = "seat",
        Pedals = "pedals",
        SteeringWheel = "steering-wheel",
        Belt = "belt",
        Brake = "brake",
    }
    /// What is done, in the usual order of a day. A product's sheet names the step that it is for.
    Step {
        Look = "look",
        WheelCleaner = "wheel-cleaner",
        AcidWheelCleaner = "acid-wheel-cleaner",
        Wash = "wash",
        Dry = "dry",
        Feel = "feel",
        TarRemover = "tar-remover",
        IronRemover = "iron-remover",
        MineralRemover = "mineral-remover",
        ClayFine = "clay-fine",
        ClayMedium = "clay-medium",
        ClayHeavy = "clay-heavy",
        Compound = "compound",
        Polish = "polish",
        PanelWipe = "panel-wipe",
        FirstLayer = "first-layer",
        Ceramic = "ceramic",
        Sealant = "sealant",
        Wax = "wax",
        GlassCoating = "glass-coating",
        TrimCoating = "trim-coating",
        WheelProtectant = "wheel-protectant",
        TyreDressing = "tyre-dressing",
        LeatherCare = "leather-care",
        FabricGuard = "fabric-guard",
    }
    /// How much of a panel.
    Area {
        TestSquare = "test-square",
        Panel = "panel",
    }
    /// What is held in the hand or on the machine.
    Tool {
        Cloth = "cloth",
        Mitt = "mitt",
        Pad = "pad",
        Clay = "clay",
        Brush = "brush",
        Applicator = "applicator",
    }
    /// What a cloth zone is for, cleanest first (common practice, no source).
    ZoneUse {
        Coating = "coating",
        UpperPaint = "upper-paint",
        LowerPaint = "lower-paint",
        Glass = "glass",
        Inside = "inside",
        Leather = "leather",
        Shuts = "shuts",
        Wheels = "wheels",
        Tyres = "tyres",
    }
    /// Why a cloth, mitt, pad or piece of clay is out of use.
    ClothOut {
        Dropped = "dropped",
        Grit = "grit",
        Coating = "coating",
    }
    /// What a product sheet's section size counts.
    SectionOf {
        SquareMm = "square-mm",
        QuarterPanel = "quarter-panel",
        Panel = "panel",
        Spot = "spot",
        HalfScreen = "half-screen",
        Wheel = "wheel",
        Tyre = "tyre",
        SeatPanel = "seat-panel",
        Part = "part",
    }
    /// Where the car stands most nights.
    Sleeps {
        Garage = "garage",
        Outside = "outside",
    }
    /// How the owner washes.
    WashHabit {
        Hand = "hand",
        Jet = "jet",
        Tunnel = "tunnel",
    }
    /// What is found of a layer after it was worked: too much of it, too little, or what is left of it.
    SpotKind {
        Residue = "residue",
        HighSpot = "high-spot",
        ThinPlace = "thin-place",
        MissedPlace = "missed-place",
        Smear = "smear",
    }
    /// Kinds of fault as light tells them apart.
    Fault {
        FineLine = "fine-line",
        Haze = "haze",
        Tone = "tone",
        Proud = "proud",
        Shape = "shape",
    }
    /// The state of the surface when it was looked at.
    Surface {
        Clean = "clean",
        Dusty = "dusty",
        Dirty = "dirty",
        Wet = "wet",
    }
    /// What a mark is (names of the trade).
    MarkKind {
        Scratch = "scratch",
        Scuff = "scuff",
        Swirls = "swirls",
        WashMarring = "wash-marring",
        BufferTrails = "buffer-trails",
        Haze = "haze",
        SandingMarks = "sanding-marks",
        KeyedLine = "keyed-line",
        StoneChip = "stone-chip",
        DoorEdgeChip = "door-edge-chip",
        Dent = "dent",
        Crease = "crease",
        Hail = "hail",
        Rust = "rust",
        ClearFailure = "clear-failure",
        Crazing = "crazing",
        Oxidation = "oxidation",
        BurnThrough = "burn-through",
        PaintTransfer = "paint-transfer",
        Overspray = "overspray",
        IronFallout = "iron-fallout",
        Tar = "tar",
        Sap = "sap",
        InsectMark = "insect-mark",
        BirdMark = "bird-mark",
        WaterSpot = "water-spot",
        Cement = "cement",
        Residue = "residue",
        TrafficFilm = "traffic-film",
        CoatingHighSpot = "coating-high-spot",
        CoatingLowSpot = "coating-low-spot",
        RefinishClue = "refinish-clue",
        OrangePeel = "orange-peel",
        PaintDefect = "paint-defect",
        TouchIn = "touch-in",
        BadgeGhost = "badge-ghost",
        FilmDamage = "film-damage",
        WrapDamage = "wrap-damage",
        RubShine = "rub-shine",
        GlassChip = "glass-chip",
        GlassCrack = "glass-crack",
        GlassPitting = "glass-pitting",
        WiperScratch = "wiper-scratch",
        GlassScratch = "glass-scratch",
        Delamination = "delamination",
        TintDamage = "tint-damage",
        HeaterLineBreak = "heater-line-break",
        KerbRash = "kerb-rash",
        WheelCrack = "wheel-crack",
        WheelBuckle = "wheel-buckle",
        LacquerPeel = "lacquer-peel",
        AcidBloom = "acid-bloom",
        BurnedInDust = "burned-in-dust",
        PartMissing = "part-missing",
        TyreCut = "tyre-cut",
        TyreBulge = "tyre-bulge",
        TyreNail = "tyre-nail",
        TyreCracking = "tyre-cracking",
        TyreWorn = "tyre-worn",
        TyreBrowning = "tyre-browning",
        Fade = "fade",
        TrimStain = "trim-stain",
        SealDamage = "seal-damage",
        PartLoose = "part-loose",
        PartBroken = "part-broken",
        ChromePitting = "chrome-pitting",
        LampHaze = "lamp-haze",
        LampCrazing = "lamp-crazing",
        Condensation = "condensation",
        Stain = "stain",
        DyeTransfer = "dye-transfer",
        Wear = "wear",
        Shrinkage = "shrinkage",
        Pilling = "pilling",
        PetHair = "pet-hair",
        Tear = "tear",
        Burn = "burn",
        Sag = "sag",
        Mould = "mould",
        StickySurface = "sticky-surface",
        Smell = "smell",
        ScreenDamage = "screen-damage",
        BeltDamage = "belt-damage",
        Other = "other",
    }
    /// Whether a clean nail drawn lightly across is caught. Sources disagree on what a catch means; it is a finding, never a promise.
    Catch {
        None = "none",
        Slight = "slight",
        Firm = "firm",
    }
    /// What can be seen at the bottom of a mark.
    Shows {
        Clear = "clear",
        Colour = "colour",
        Primer = "primer",
        Metal = "metal",
        Plastic = "plastic",
        Rust = "rust",
    }
    /// What lies in a mark.
    Holds {
        Clean = "clean",
        Dirt = "dirt",
        Polish = "polish",
        Rust = "rust",
        ForeignPaint = "foreign-paint",
    }
    /// How a size was found.
    Measured {
        ByEye = "by-eye",
        Ruler = "ruler",
        ScaleInPhoto = "scale-in-photo",
        Stroke = "stroke",
    }
    /// How near a photo was taken (overall, then middle with a fixed feature, then close).
    View {
        Overall = "overall",
        Middle = "middle",
        Close = "close",
        CloseWithScale = "close-with-scale",
    }
    /// With what a panel was felt.
    FeelMethod {
        BareHand = "bare-hand",
        Bag = "bag",
        Glove = "glove",
    }
    /// What was felt on a palm-size area (common practice, no source).
    FeelLevel {
        Smooth = "smooth",
        FewSpecks = "few-specks",
        SteadyGrit = "steady-grit",
        Rough = "rough",
    }
    /// What reacted, and so what was met.
    Reaction {
        Iron = "iron",
        Tar = "tar",
        WaterSpot = "water-spot",
        None = "none",
    }
    /// Why a gauge gave no reading. Never a 0.
    NoReading {
        NonMetal = "non-metal",
        CurveTooTight = "curve-too-tight",
        Wet = "wet",
        GaugeFails = "gauge-fails",
    }
    /// On which bare plate a gauge was checked.
    Plate {
        Steel = "steel",
        Aluminium = "aluminium",
    }
    /// What an odometer counts.
    DistanceUnit {
        Km = "km",
        Miles = "miles",
    }
    /// What is tried before work, because it fails of itself too.
    Fitting {
        Windows = "windows",
        Seats = "seats",
        Mirrors = "mirrors",
        Lamps = "lamps",
        Horn = "horn",
        Wipers = "wipers",
        Locks = "locks",
        Roof = "roof",
    }
    /// Whether a fitting works. "Not tried" is not "works".
    Works {
        Works = "works",
        DoesNot = "does-not",
        NotTried = "not-tried",
    }
    /// Who has or had the vehicle or its keys, who answers, or who showed a mark.
    Party {
        Owner = "owner",
        Agent = "agent",
        FleetContact = "fleet-contact",
        Detailer = "detailer",
        KeySafe = "key-safe",
        Site = "site",
        Other = "other",
    }
    /// What changes hands.
    Custody {
        Keys = "keys",
        Vehicle = "vehicle",
        KeysAndVehicle = "keys-and-vehicle",
    }
    /// What the owner is asked to allow, one by one.
    Permission {
        MoveVehicle = "move-vehicle",
        OpenBonnet = "open-bonnet",
        OpenBoot = "open-boot",
        OpenGlovebox = "open-glovebox",
        UseWater = "use-water",
        UsePower = "use-power",
        UnplugCharger = "unplug-charger",
        TakePhotos = "take-photos",
        PublishPhotos = "publish-photos",
        LeaveWet = "leave-wet",
        LeaveUnlocked = "leave-unlocked",
        LeaveKeys = "leave-keys",
    }
    /// What the owner says to the record. Silence is never agreement: the five are never merged.
    OwnerAnswer {
        Agreed = "agreed",
        AgreedExcept = "agreed-except",
        Refused = "refused",
        Absent = "absent",
        SentNoReply = "sent-no-reply",
    }
    /// What became of the owner's copy.
    CopyGiven {
        Received = "received",
        Sent = "sent",
        NotGiven = "not-given",
    }
    /// A whole side of the vehicle, as seated, for a walk-past.
    WholeSide {
        Left = "left",
        Right = "right",
        Front = "front",
        Rear = "rear",
        Top = "top",
    }
    /// The corner, as seated, at which a walk round the vehicle begins.
    Corner {
        FrontLeft = "front-left",
        FrontRight = "front-right",
        RearLeft = "rear-left",
        RearRight = "rear-right",
    }
    /// On which side the steering wheel is, as seated.
    Steering {
        Left = "left",
        Right = "right",
    }
    /// What is kept for a time of its own, and then erased.
    Kept {
        InsidePhotos = "inside-photos",
        OutsidePhotos = "outside-photos",
        Texts = "texts",
    }
    /// What kind of entry a key of the device's own signs beside the log.
    Cosigned {
        Closing = "closing",
        Device = "device",
    }
    /// Where a device's own key lies, as the device says.
    KeyHeld {
        Hardware = "hardware",
        Software = "software",
    }
    /// Where the bytes are that an event names only by their hash.
    BlobState {
        Here = "here",
        Elsewhere = "elsewhere",
        Erased = "erased",
        Lost = "lost",
    }
}
