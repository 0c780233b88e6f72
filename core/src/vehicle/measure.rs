//! The measures of a body form: about forty whole numbers from which the whole body is generated. Pure.
//!
//! The defaults are invented middles of each form, written from general knowledge of common sizes; they are no
//! particular car. Real ones may be given. A measure is held to a band around its form's default, scaled with the
//! length or height given, because a body whose parts cross each other has no panels; what was held is said.

use crate::record::words::Form;

/// In what a measure is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    Mm,
    /// Tenths of a degree.
    TenthDegree,
    /// Thousandths of the length, width or height it belongs to.
    PerMille,
}

/// With what the default of a measure grows before its band is laid round it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Grows {
    Never,
    Length,
    Height,
    Wheelbase,
    Tyre,
    /// It moves with the tail.
    Tail,
}

/// A measure of one vehicle was outside what its form can take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Held {
    /// Which measure.
    pub measure: Measure,
    /// What was given, in the measure's unit.
    pub given: i32,
    /// What is used instead.
    pub used: i32,
}

macro_rules! measures {
    ($($(#[doc = $doc:literal])* $name:ident $field:ident $word:literal $unit:ident $grows:ident $band:literal $defaults:expr;)*) => {
        /// One measure of a body.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Measure { $($(#[doc = $doc])* $name),* }

        impl Measure {
            /// Every measure, in the order in which they are held.
            pub const ALL: &'static [Measure] = &[$(Measure::$name),*];

            /// The measure's name as data.
            pub fn word(self) -> &'static str {
                match self { $(Measure::$name => $word),* }
            }
            /// In what it is counted.
            pub fn unit(self) -> Unit {
                match self { $(Measure::$name => Unit::$unit),* }
            }
            fn grows(self) -> Grows {
                match self { $(Measure::$name => Grows::$grows),* }
            }
            /// Half the width of the band a form can take, in the measure's unit.
            fn band(self) -> i32 {
                match self { $(Measure::$name => $band),* }
            }
            fn defaults(self) -> &'static [i32; Form::ALL.len()] {
                match self { $(Measure::$name => &$defaults),* }
            }
        }

        /// The measures as metres, degrees and shares of one.
        #[derive(Debug, Clone)]
        pub(super) struct Dims { $(pub $field: f64),* }

        impl Dims {
            pub fn from(m: &Measures) -> Self {
                Dims { $($field: m.scaled(Measure::$name)),* }
            }
        }
    };
}

// Columns: hatch-3, hatch-5, saloon, estate, suv, people-carrier, coupe, convertible, pickup, van, motorcycle.
measures! {
    /// Overall length.
    Length length "length" Mm Never 130 [3950, 4280, 4700, 4720, 4550, 4700, 4550, 4380, 5300, 5400, 2120];
    /// Overall width without mirrors; of a motorcycle, over its mirrors.
    Width width "width" Mm Never 80 [1740, 1790, 1830, 1830, 1860, 1860, 1840, 1820, 1880, 1980, 860];
    /// Overall height without roof bars and aerial.
    Height height "height" Mm Never 110 [1460, 1470, 1450, 1480, 1680, 1780, 1370, 1370, 1800, 1990, 1280];
    /// Wheelbase.
    Wheelbase wheelbase "wheelbase" Mm Length 80 [2500, 2640, 2780, 2780, 2690, 2860, 2710, 2630, 3200, 3180, 1440];
    /// Front overhang: nose to front axle.
    FrontOverhang front_oh "front-overhang" Mm Length 50 [780, 850, 870, 870, 880, 930, 880, 860, 880, 960, 340];
    /// Ground clearance at the sill.
    Clearance clear "clearance" Mm Never 40 [150, 150, 140, 145, 205, 165, 130, 130, 250, 190, 150];
    /// Radius of the tyre.
    TyreRadius tyre_r "tyre-radius" Mm Never 30 [310, 318, 325, 325, 358, 335, 335, 325, 385, 345, 312];
    /// Width of the tyre.
    TyreWidth tyre_w "tyre-width" Mm Never 30 [200, 210, 225, 225, 235, 215, 245, 235, 255, 225, 150];
    /// Radius of the wheel within the tyre.
    WheelRadius rim_r "wheel-radius" Mm Tyre 20 [208, 220, 228, 228, 246, 228, 248, 234, 236, 220, 222];
    /// Height of the bonnet's leading edge; of a motorcycle, of the headlamp's middle.
    NoseHeight h_nose "nose-height" Mm Height 40 [720, 730, 720, 720, 900, 850, 680, 680, 1050, 1000, 900];
    /// Height of the bonnet at the windscreen, on the middle line; of a motorcycle, the foot of its screen.
    BonnetHeight h_bonnet "bonnet-height" Mm Height 40 [970, 980, 970, 975, 1120, 1130, 920, 920, 1220, 1270, 1010];
    /// Height of the waistline at the front door; of a motorcycle, the top of the tank.
    WaistFront h_waist_f "waist-front" Mm Height 35 [925, 930, 925, 930, 1070, 1050, 885, 885, 1165, 1180, 985];
    /// Height of the waistline at the rear axle; of a motorcycle, the end of its tail.
    WaistRear h_waist_r "waist-rear" Mm Height 35 [985, 985, 975, 980, 1130, 1090, 930, 925, 1180, 1200, 900];
    /// Height of the edge of boot lid, bed or tail; of a motorcycle, of the seat.
    DeckHeight h_deck "deck-height" Mm Height 35 [990, 990, 1000, 985, 1130, 1090, 935, 930, 1170, 1200, 815];
    /// Foot of the windscreen behind the front axle.
    ScreenFoot x_cowl "screen-foot" Mm Wheelbase 60 [400, 400, 440, 430, 470, 130, 560, 580, 480, 110, 0];
    /// Head of the windscreen behind the front axle.
    ScreenHead x_wtop "screen-head" Mm Wheelbase 60 [1070, 1110, 1210, 1190, 1170, 960, 1380, 1290, 1140, 800, 0];
    /// Rear end of the roof ahead of the rear axle (less than nothing: behind it).
    RoofEnd x_rtop "roof-end" Mm Tail 45 [-200, -270, 360, -730, -480, -760, 300, 480, 980, -1130, 0];
    /// Foot of the rear screen ahead of the rear axle.
    RearScreenFoot x_rbase "rear-screen-foot" Mm Tail 35 [-520, -650, -440, -960, -800, -880, -600, -120, 790, -1215, 0];
    /// How much the roof falls to its front.
    RoofDropFront drop_f "roof-drop-front" Mm Never 15 [55, 55, 55, 55, 50, 60, 55, 50, 50, 65, 0];
    /// How much the roof falls to its rear.
    RoofDropRear drop_r "roof-drop-rear" Mm Never 20 [85, 90, 95, 75, 70, 65, 110, 75, 40, 30, 0];
    /// Cross crown of bonnet and boot.
    BonnetCrown crown_b "bonnet-crown" Mm Never 20 [62, 60, 55, 55, 60, 70, 55, 52, 60, 75, 0];
    /// Cross crown of the roof.
    RoofCrown crown_r "roof-crown" Mm Never 20 [50, 50, 50, 50, 48, 45, 55, 45, 45, 40, 0];
    /// Lean of the side glass.
    SideLean tumble "side-lean" TenthDegree Never 40 [200, 200, 225, 200, 170, 145, 245, 220, 140, 60, 0];
    /// Step from the body side to the glass.
    Shoulder shoulder "shoulder" Mm Never 15 [65, 60, 65, 60, 55, 45, 80, 72, 45, 25, 0];
    /// How far the side draws in from the swage line to the sill.
    TuckIn tuck "tuck-in" Mm Never 20 [62, 60, 65, 65, 55, 50, 72, 70, 45, 30, 0];
    /// Narrowing of the plan at the nose, of half the width.
    NoseNarrowing nose_taper "nose-narrowing" PerMille Never 30 [92, 90, 100, 100, 75, 90, 100, 100, 45, 65, 0];
    /// Narrowing of the plan at the tail, of half the width.
    TailNarrowing tail_taper "tail-narrowing" PerMille Never 30 [75, 75, 92, 65, 70, 45, 85, 85, 12, 15, 0];
    /// Plan rounding of the nose.
    NoseRounding nose_round "nose-rounding" Mm Never 50 [250, 250, 270, 270, 200, 240, 290, 270, 150, 150, 0];
    /// Plan rounding of the tail.
    TailRounding tail_round "tail-rounding" Mm Never 30 [130, 130, 180, 150, 130, 110, 180, 180, 40, 35, 0];
    /// How far the windscreen sweeps back at its edge.
    ScreenSweep sweep_f "screen-sweep" Mm Never 30 [170, 170, 180, 180, 150, 170, 175, 165, 100, 100, 0];
    /// How far the rear screen sweeps forward at its edge.
    RearScreenSweep sweep_r "rear-screen-sweep" Mm Never 20 [100, 100, 120, 90, 90, 70, 120, 55, 30, 25, 0];
    /// How far the nose leans back from bumper to bonnet edge.
    NoseLean nose_lean "nose-lean" Mm Never 30 [85, 85, 80, 80, 55, 95, 95, 90, 40, 90, 0];
    /// Front shut line of the front door behind the front axle.
    DoorFront x_a "door-front" Mm Wheelbase 35 [430, 440, 460, 460, 500, 440, 480, 480, 540, 440, 0];
    /// Rear shut line of the front door behind the front axle.
    DoorRear x_b "door-rear" Mm Wheelbase 50 [1760, 1500, 1580, 1580, 1560, 1520, 1900, 1840, 1690, 1400, 0];
    /// Rear end of the last door's glass ahead of the rear axle.
    RearDoorEnd x_c "rear-door-end" Mm Wheelbase 45 [-300, 130, 150, 150, 150, 60, 100, 380, 860, 600, 0];
    /// Rear end of the last side glass ahead of the rear axle; of forms without a third side glass, not used.
    QuarterGlassEnd x_d "quarter-glass-end" Mm Tail 45 [0, -400, 0, -760, -560, -780, 0, 0, 0, 0, 0];
    /// Top of the front bumper.
    FrontBumper h_bump_f "front-bumper-top" Mm Height 30 [540, 540, 530, 530, 640, 590, 500, 500, 690, 640, 0];
    /// Top of the rear bumper.
    RearBumper h_bump_r "rear-bumper-top" Mm Height 30 [570, 580, 590, 580, 690, 630, 560, 560, 660, 560, 0];
    /// Top of the rear lamps.
    RearLamp h_lamp_r "rear-lamp-top" Mm Height 30 [900, 910, 890, 890, 1030, 1030, 840, 850, 1030, 1010, 0];
    /// Half width of boot lid or tailgate, of half the width.
    LidWidth lid_w "lid-width" PerMille Never 15 [700, 700, 610, 700, 720, 740, 620, 620, 800, 900, 0];
    /// How far the arches flare out.
    Flare flare "arch-flare" Mm Never 8 [8, 8, 8, 8, 14, 8, 13, 12, 16, 8, 0];
}

/// The measures of one vehicle: those given, the others as its form has them, grown with those given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Measures {
    form: Form,
    given: Vec<Option<i32>>,
}

impl Measures {
    /// The defaults of a form.
    pub fn of(form: Form) -> Self {
        Measures { form, given: vec![None; Measure::ALL.len()] }
    }
    /// The same with one measure given, in its unit.
    #[must_use]
    pub fn with(mut self, measure: Measure, value: i32) -> Self {
        if let Some(slot) = self.given.get_mut(measure as usize) {
            *slot = Some(value);
        }
        self
    }
    /// The form these are measures of.
    pub fn form(&self) -> Form {
        self.form
    }
    /// A measure in its unit: as given, else its form's default.
    pub fn get(&self, measure: Measure) -> i32 {
        let given = self.given.get(measure as usize).copied().flatten();
        given.unwrap_or_else(|| default(self.form, measure))
    }
    /// The middle of what the form can take of a measure: its default, grown with those held before it.
    fn usual(&self, measure: Measure) -> i32 {
        let usual = default(self.form, measure);
        let grows = match measure.grows() {
            // What lies ahead of the rear axle is part of the cabin.
            Grows::Tail if usual > 0 => Grows::Wheelbase,
            grows => grows,
        };
        let shift = if grows == Grows::Tail { self.tail() - Measures::of(self.form).tail() } else { 0 };
        (f64::from(usual) * self.growth(grows)).round() as i32 + shift
    }
    /// What the form can take of a measure, given those held before it: a band round the default, grown with the
    /// vehicle, and what keeps its parts from crossing each other.
    pub fn range(&self, measure: Measure) -> (i32, i32) {
        use Measure as M;
        let (usual, middle) = (default(self.form, measure), self.usual(measure));
        let band = match measure {
            M::Length | M::Width | M::Height => usual * measure.band() / 1000,
            // A motorcycle is smaller than what the bands were laid for.
            _ if self.form == Form::Motorcycle => measure.band() / 3,
            _ => measure.band(),
        };
        let (mut low, mut high) = (middle - band, middle + band);
        if self.form == Form::Motorcycle {
            return (low, high);
        }
        let get = |m| self.get(m);
        let third_glass = default(self.form, M::QuarterGlassEnd) != 0;
        match measure {
            M::FrontOverhang => {
                // What is left for the rear overhang stays near its own share of the length.
                let base = Measures::of(self.form);
                let rear = f64::from(-base.tail()) * self.growth(Grows::Length);
                let left = get(M::Length) - get(M::Wheelbase) - rear.round() as i32;
                (low, high) = (low.max(left - 90), high.min(left + 90));
            }
            M::WheelRadius => high = high.min(get(M::TyreRadius) - 70),
            M::RoofEnd => {
                // A much shorter roof has no middle left to reach the overall height.
                let length = default(self.form, M::Wheelbase) - default(self.form, M::ScreenHead) - usual;
                let least = (f64::from(length) * self.growth(Grows::Wheelbase) * 0.95).round() as i32;
                high = high.min(get(M::Wheelbase) - get(M::ScreenHead) - least);
            }
            M::DeckHeight => {
                let step = get(M::WaistRear) + usual - default(self.form, M::WaistRear);
                (low, high) = (low.max(step - 20), high.min(step + 20));
            }
            M::RearScreenFoot => {
                // A screen that lies flat still runs on below its foot, to where the tub covers it.
                let rise =
                    get(M::Height) - default(self.form, M::RoofDropRear) - 20 - get(M::DeckHeight) - 30;
                let run = get(M::RoofEnd) - self.tail() - 75;
                let ledge = (25 + 95 * run / rise.max(100)).max(55);
                (low, high) = (low.max(self.tail() + ledge), high.min(get(M::RoofEnd) - 60));
            }
            M::RearDoorEnd if !third_glass && self.form != Form::Van => {
                low = low.max(get(M::RearScreenFoot) + 60)
            }
            M::QuarterGlassEnd => {
                (low, high) = (low.max(get(M::RearScreenFoot) + 150), high.min(get(M::RearDoorEnd) - 250));
            }
            M::FrontBumper => high = high.min(get(M::NoseHeight) - 150),
            M::RearLamp => {
                (low, high) = (
                    low.max(get(M::RearBumper) + 200),
                    high.min(get(M::DeckHeight) - if self.form == Form::Pickup { 110 } else { 55 }),
                );
            }
            M::NoseNarrowing | M::TailNarrowing => low = low.max(4),
            M::TuckIn => low = low.max(24),
            _ => {}
        }
        // Where two rules leave nothing between them, the middle between them stands.
        if low <= high {
            (low, high)
        } else {
            let m = low.midpoint(high);
            (m, m)
        }
    }
    /// The tail ahead of the rear axle; less than nothing, as it lies behind it.
    fn tail(&self) -> i32 {
        self.get(Measure::FrontOverhang) + self.get(Measure::Wheelbase) - self.get(Measure::Length)
    }
    /// Every measure settled: the given ones held to what the form can take, the others grown with them; and which of
    /// the given ones were changed by that.
    pub fn held(&self) -> (Measures, Vec<Held>) {
        let mut out = self.clone();
        let mut held = Vec::new();
        for &measure in Measure::ALL {
            let (low, high) = out.range(measure);
            let given = self.given.get(measure as usize).copied().flatten();
            let used = given.unwrap_or_else(|| out.usual(measure)).clamp(low, high);
            if let Some(given) = given.filter(|g| *g != used) {
                held.push(Held { measure, given, used });
            }
            out = out.with(measure, used);
        }
        (out, held)
    }
    fn growth(&self, grows: Grows) -> f64 {
        let ratio = |m| f64::from(self.get(m)) / f64::from(default(self.form, m).max(1));
        match grows {
            Grows::Never | Grows::Tail => 1.0,
            Grows::Length => ratio(Measure::Length),
            Grows::Height => ratio(Measure::Height),
            Grows::Wheelbase => ratio(Measure::Wheelbase),
            Grows::Tyre => ratio(Measure::TyreRadius),
        }
    }
    fn scaled(&self, measure: Measure) -> f64 {
        let per_one = match measure.unit() {
            Unit::Mm | Unit::PerMille => 1000.0,
            Unit::TenthDegree => 10.0,
        };
        f64::from(self.get(measure)) / per_one
    }
}

fn default(form: Form, measure: Measure) -> i32 {
    measure.defaults().get(form as usize).copied().unwrap_or(0)
}
