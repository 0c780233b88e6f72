//! What light has to say: what could have been seen, where to look next, what the sun can do.

use super::jobs::id;
use super::notebook::{Notebook, Reader};
use crate::care::findings::surface_of;
use crate::care::spots;
use crate::error::Error;
use crate::light::next::{Ask, With, next_looks};
use crate::light::sun::{Observer, day, sun};
use crate::light::sunlit::{Span, panels_now, rakes, shades, share, towards, turn};
use crate::light::{Account, Blocked, PlaceAsked, WALL_DEG, body, recorded, words};
use crate::record::events::SpotFound;
use crate::record::fold::{Item, Job, SpotDeed};
use crate::record::inputs::{Earth, Ground, Spot};
use crate::record::times;
use crate::record::views::{
    BlankView, LightView, OftenMissedView, Speech, SpotView, StandView, SunPlanView, SunReachView,
};
use crate::record::words::{Form, Light, Locale, MarkKind, Stage, WholeSide};
use crate::store::Store;
use crate::vehicle::{self, Class};

/// What is asked of the next look.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct NextAsk {
    /// The light at hand: sun, or a point lamp.
    pub light: Light,
    /// The time of the look, UTC milliseconds: where the sun then stands.
    pub at_ms: i64,
    /// Sides where nobody can stand: a wall, a hedge, traffic.
    #[uniffi(default = [])]
    pub blocked: Vec<WholeSide>,
    /// Neutral names of the panels that matter; none named: all that are painted.
    #[uniffi(default = [])]
    pub panels: Vec<String>,
    /// The stage whose looks count; the latest walk-around's when left out.
    #[uniffi(default = None)]
    pub stage: Option<Stage>,
    /// How many places, 1 to 20.
    pub count: u32,
}

/// A mark that is asked about.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct BlankAsk {
    /// Neutral name of the panel.
    pub panel: String,
    /// Where on it, or where its stroke begins.
    pub at: Spot,
    /// Where its stroke ends; left out, its direction is not known, and only what shows every direction counts.
    #[uniffi(default = None)]
    pub to: Option<Spot>,
    /// What it is.
    pub kind: MarkKind,
    /// Its size, micrometres; a line of 10 mm, a nib of 1 mm, a smear or dent of 20 mm when left out.
    #[uniffi(default = None)]
    pub size_um: Option<u32>,
}

/// What is asked of the sun.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct SunAsk {
    /// Outline of the vehicle.
    pub form: Form,
    /// Where on earth.
    pub earth: Earth,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// Offset of the zone in which times are told, minutes.
    pub off_min: i32,
    /// Which way the front points, thousandths of a degree clockwise from north, 0 to 359,999.
    pub heading_mdeg: u32,
    /// Sides where nobody can stand.
    #[uniffi(default = [])]
    pub blocked: Vec<WholeSide>,
    /// A side that is to stay in the car's own shade.
    #[uniffi(default = None)]
    pub shade: Option<WholeSide>,
}

fn blocked(sides: &[WholeSide]) -> Result<Blocked, Error> {
    let mut all = Blocked::default();
    for side in sides {
        match side {
            WholeSide::Left => all.left = true,
            WholeSide::Right => all.right = true,
            WholeSide::Front => all.front = true,
            WholeSide::Rear => all.rear = true,
            WholeSide::Top => return Err(Error::refused("blocked", "nobody stands on top; name a side")),
        }
    }
    Ok(all)
}

pub(super) fn not_here(job: &str) -> Error {
    Error::NotFound { what: format!("job {job}") }
}

/// Everything on record about light in a job.
pub(super) fn account_view(job: &Job, account: &Account, speech: Speech) -> LightView {
    LightView {
        looks: account.look_views(),
        seen: account.seen_views(),
        blanks: account.blanks(),
        spots: spot_views(job, speech),
    }
}

fn spot_views(job: &Job, speech: Speech) -> Vec<SpotView> {
    let view = |spot: &Item<SpotFound>| {
        let body = &spot.body;
        let light = |light: Light| speech.word("light", light.word());
        let mut text =
            format!("{}, found in {}", speech.word("spot-kind", body.kind.word()), light(body.light));
        if let Some(step) = body.step {
            text.push_str(&format!(", after {}", speech.word("step", step.word())));
        }
        if let Some(age) = body.age_s {
            text.push_str(&format!(", {} after it", times::lasted(i64::from(age) * 1_000)));
        }
        let history = job.spot_deeds(spot).into_iter().map(|deed| {
            let time = speech.stamp(job, deed.stamp()).time;
            match deed {
                SpotDeed::Treated(it) => {
                    format!("{time}: {}", speech.typed(&it.text("what")).unwrap_or_default())
                }
                SpotDeed::Checked(it) => {
                    let found = if it.body.clear { "nothing of it seen" } else { "still there" };
                    format!("{time}: {found}, {}", light(it.body.light))
                }
            }
        });
        let open = job.spot_is_open(spot);
        let state = match (open, job.clear_under(spot).first()) {
            (false, _) => "closed: seen clear under two kinds of light".to_owned(),
            (true, None) => {
                format!("open: look again in {} and under one other kind of light", light(body.light))
            }
            (true, Some(once)) => format!(
                "open: seen clear in {}; it has to be seen clear in {} and under one other kind of light",
                light(*once),
                light(body.light)
            ),
        };
        SpotView {
            id: spot.id.to_string(),
            kind: body.kind,
            panel: body.place.panel.clone(),
            panel_name: speech.panel(&body.place.panel),
            at: body.place.at,
            text,
            allows: if open { allows(job, body) } else { Vec::new() },
            open,
            state,
            history: history.collect(),
            note: speech.typed(&spot.text("note")),
            stamp: speech.stamp(job, &spot.stamp),
        }
    };
    job.spots.iter().map(view).collect()
}

/// What a spot's age allows, by the step that left it and the surface that it is on; nothing where nobody said which step or
/// how long ago.
fn allows(job: &Job, found: &SpotFound) -> Vec<String> {
    let (Some(step), Some(age_s)) = (found.step, found.age_s) else { return Vec::new() };
    let spot = spots::Spot {
        spot: found.kind,
        surface: surface_of(job, &found.place.panel),
        step,
        age_ms: i64::from(age_s) * 1_000,
        shown_by: found.light,
        windows: spots::SpotWindows::default(),
    };
    spots::remedy(&spot).map_or_else(|_| Vec::new(), |remedy| [remedy.steps, remedy.notes].concat())
}

fn light(store: &mut Store, job: &str, locale: Locale) -> Result<LightView, Error> {
    let folded = store.job(id(job)?)?;
    let account = Account::of(folded, Speech { locale }).ok_or_else(|| not_here(job))?;
    Ok(account_view(folded, &account, Speech { locale }))
}

pub(super) fn next(
    store: &mut Store,
    job: &str,
    ask: &NextAsk,
    locale: Locale,
) -> Result<Vec<StandView>, Error> {
    if !(1..=20).contains(&ask.count) {
        return Err(Error::refused("count", "1 to 20 places can be asked for"));
    }
    let blocked = blocked(&ask.blocked)?;
    let folded = store.job(id(job)?)?;
    let account = Account::of(folded, Speech { locale }).ok_or_else(|| not_here(job))?;
    let body = account.body();
    let mut panels: Vec<&str> = Vec::new();
    for (at, name) in ask.panels.iter().enumerate() {
        let panel = body.geometry.panel(name).ok_or_else(|| {
            Error::refused(format!("panels[{at}]"), format!("no outside panel \"{name}\" on this form"))
        })?;
        panels.push(panel.id);
    }
    let with = match ask.light {
        Light::Point => With::Lamp,
        Light::Sun => With::Sun(sun_of(folded, ask.at_ms)?),
        other => {
            let reason = format!("\"{}\" is not looked with from place to place; sun or point", other.word());
            return Err(Error::refused("light", reason));
        }
    };
    let stage = ask.stage.or_else(|| folded.walks.last().map(|walk| walk.stage));
    let seen = account.seen_in(stage.unwrap_or(Stage::AsFound));
    let asked = Ask { with, blocked, panels: &panels, wall_deg: WALL_DEG };
    let whole = asked.whole_mm2(body) * crate::light::BINS as u64;
    let mm = |metres: f64| (metres * 1_000.0).round() as i32;
    let view = |stand: &crate::light::next::Stand| StandView {
        text: words(body, stand, with, locale),
        panel: stand.panel.to_owned(),
        x_mm: mm(stand.eye[0]),
        y_mm: mm(stand.eye[1]),
        eye_mm: mm(stand.eye[2]).unsigned_abs(),
        adds_ppm: (stand.adds_mm2 * 1_000_000 / whole.max(1)) as u32,
    };
    Ok(next_looks(body, &seen, &asked, ask.count as usize).iter().map(view).collect())
}

/// Towards the sun in the frame of a job's vehicle: by the heading of its latest look in the sun, as long as the vehicle was not
/// moved since, and the place on earth that was given with a look.
fn sun_of(job: &Job, at_ms: i64) -> Result<[f64; 3], Error> {
    let unknown = |field: &str, what: &str| Error::refused(field, what);
    let heading = recorded::heading(job).ok_or_else(|| {
        unknown(
            "light",
            "which way the vehicle points is not known: record a look where the sun glares first",
        )
    })?;
    let earth = recorded::earth(job).ok_or_else(|| {
        unknown("light", "where on earth is not on record any more: record a look in the sun first")
    })?;
    let stands = sun(at_ms, &earth.into()).map_err(|why| unknown("light", &why.to_string()))?;
    if stands.apparent_elevation_deg <= 0.0 {
        return Err(unknown("light", "the sun is below the horizon; look with a lamp"));
    }
    Ok(towards(stands.azimuth_deg, stands.apparent_elevation_deg, f64::from(heading.mdeg) / 1_000.0))
}

fn blank(store: &mut Store, job: &str, ask: BlankAsk, locale: Locale) -> Result<Vec<BlankView>, Error> {
    let folded = store.job(id(job)?)?;
    let account = Account::of(folded, Speech { locale }).ok_or_else(|| not_here(job))?;
    if account.body().geometry.panel(&ask.panel).is_none() {
        return Err(Error::refused("panel", format!("no outside panel \"{}\" on this form", ask.panel)));
    }
    if ask.to == Some(ask.at) {
        return Err(Error::refused(
            "to",
            "the stroke has no length: leave it out if its direction is not known",
        ));
    }
    if !ask.size_um.is_none_or(|um| (1..=10_000_000).contains(&um)) {
        return Err(Error::refused("size_um", "1 to 10,000,000 can be meant"));
    }
    let BlankAsk { panel, at, to, kind, size_um } = ask;
    Ok(account.stages_on(&PlaceAsked { panel, at, to, kind, size_um }, None))
}

#[uniffi::export]
impl Notebook {
    /// Everything on record about light in a job: looks, what could have been seen, what earlier looks say to marks that were found
    /// later, missed spots.
    ///
    /// # Errors
    /// The job is not here, or the store could not be read.
    pub fn light(&self, job: String, locale: Locale) -> Result<LightView, Error> {
        light(&mut *self.lock()?, &job, locale)
    }

    /// Where to look from next, the best place first, each beside what those before it add.
    ///
    /// # Errors
    /// The job or a panel is not here, a light that is not looked with, or a sun whose direction is not known.
    pub fn next_looks(&self, job: String, ask: NextAsk, locale: Locale) -> Result<Vec<StandView>, Error> {
        next(&mut *self.lock()?, &job, &ask, locale)
    }

    /// What each stage says to a mark: the last look that could have shown it and recorded none, the first record of it, or that
    /// no look could have shown it.
    ///
    /// # Errors
    /// The job or panel is not here, or a stroke has no length.
    pub fn blank(&self, job: String, ask: BlankAsk, locale: Locale) -> Result<Vec<BlankView>, Error> {
        blank(&mut *self.lock()?, &job, ask, locale)
    }
}

#[uniffi::export]
impl Reader {
    /// As [`Notebook::light`].
    ///
    /// # Errors
    /// As [`Notebook::light`].
    pub fn light(&self, job: String, locale: Locale) -> Result<LightView, Error> {
        light(&mut *self.lock()?, &job, locale)
    }

    /// As [`Notebook::next_looks`].
    ///
    /// # Errors
    /// As [`Notebook::next_looks`].
    pub fn next_looks(&self, job: String, ask: NextAsk, locale: Locale) -> Result<Vec<StandView>, Error> {
        next(&mut *self.lock()?, &job, &ask, locale)
    }

    /// As [`Notebook::blank`].
    ///
    /// # Errors
    /// As [`Notebook::blank`].
    pub fn blank(&self, job: String, ask: BlankAsk, locale: Locale) -> Result<Vec<BlankView>, Error> {
        blank(&mut *self.lock()?, &job, ask, locale)
    }
}

/// The place on the ground beside a touched place of a panel, so far off it, millimetres: where a person stands who looks at it.
#[uniffi::export]
pub fn stand_beside(form: Form, panel: String, at: Spot, off_mm: u32) -> Option<Ground> {
    let body = body(form);
    let site = body.site(&panel, at.u_ppm, at.v_ppm)?;
    let [x, y] = body.stand_off(&site, f64::from(off_mm) / 1_000.0);
    Some(Ground { x_mm: (x * 1_000.0).round() as i32, y_mm: (y * 1_000.0).round() as i32 })
}

/// Places of a form at which spots are usually missed, in walking order.
#[uniffi::export]
pub fn often_missed(form: Form, locale: Locale) -> Vec<OftenMissedView> {
    let speech = Speech { locale };
    let all = vehicle::often_missed(form, locale).into_iter();
    all.map(|(panel, place)| OftenMissedView {
        panel: panel.to_owned(),
        text: format!("{}: {place}", speech.panel(panel)),
    })
    .collect()
}

/// What the sun can do for a vehicle: which panels it shows now, how far to turn the car, when it rakes each side today, and how to
/// park so that a side stays in its own shade.
///
/// # Errors
/// A place or time that cannot be meant, or a sun below the horizon for good.
#[uniffi::export]
pub fn sun_plan(ask: SunAsk, locale: Locale) -> Result<SunPlanView, Error> {
    if ask.heading_mdeg > 359_999 {
        return Err(Error::refused(
            "heading_mdeg",
            format!("{}; 0 to 359999 can be meant", ask.heading_mdeg),
        ));
    }
    let blocked = blocked(&ask.blocked)?;
    let refused = |why: crate::light::sun::NoSun| Error::refused("earth", why.to_string());
    let (place, speech, body) = (Observer::from(ask.earth), Speech { locale }, body(ask.form));
    let heading = f64::from(ask.heading_mdeg) / 1_000.0;
    let now = sun(ask.at_ms, &place).map_err(refused)?;
    let today = day(ask.at_ms, &place).map_err(refused)?;
    let at = |ms: i64| {
        // A time at which no sun can be computed counts as night.
        sun(ms, &place).map_or((0.0, -90.0), |sun| (sun.azimuth_deg, sun.apparent_elevation_deg))
    };
    let time = |ms: i64| times::time_of_day(ms, ask.off_min);
    let percent = |ppm: u32| (ppm + 5_000) / 10_000;
    let mut lines = Vec::new();
    let up = now.apparent_elevation_deg > 0.0;
    let stands = match up {
        true => format!(
            "The sun stands {:.0}° high, {:.0}° from north.",
            now.apparent_elevation_deg, now.azimuth_deg
        ),
        false => "The sun is below the horizon.".to_owned(),
    };
    let (mut panels, mut turn_deg, mut turned) = (Vec::new(), 0, 0);
    if up {
        let way = towards(now.azimuth_deg, now.apparent_elevation_deg, heading);
        let reach = panels_now(body, way, blocked);
        let paint = |id: &str| {
            body.geometry.panel(id).is_some_and(|it| it.class == Class::Paint && it.part_of.is_none())
        };
        panels = reach
            .iter()
            .filter(|it| paint(it.panel))
            .map(|it| SunReachView {
                panel: it.panel.to_owned(),
                panel_name: speech.panel(it.panel),
                share_ppm: it.share_ppm,
            })
            .collect();
        let told: Vec<String> = panels
            .iter()
            .filter(|it| it.share_ppm >= 50_000)
            .take(6)
            .map(|it| format!("{} {} %", it.panel_name, percent(it.share_ppm)))
            .collect();
        lines.push(match told.is_empty() {
            true => "It shows next to nothing of the paint now.".to_owned(),
            false => format!("It can show now: {}.", told.join(", ")),
        });
        let best = turn(body, (now.azimuth_deg, now.apparent_elevation_deg), heading, blocked, &[]);
        let as_is = share(body, way, blocked, &[]);
        (turn_deg, turned) = (best.clockwise_deg, best.share_ppm);
        lines.push(match best.clockwise_deg {
            0 => format!(
                "As it stands, it shows as much of the paint as it can: {} %.",
                percent(best.share_ppm)
            ),
            deg => {
                let (by, way) = if deg <= 180 { (deg, "right") } else { (360 - deg, "left") };
                format!(
                    "Turned by {by}° to the {way}, it would show {} % of the paint instead of {} %.",
                    percent(best.share_ppm),
                    percent(as_is)
                )
            }
        });
    }
    let half_day = 12 * 3_600_000;
    let span = Span {
        from_ms: today.sunrise_ms.unwrap_or(today.transit_ms - half_day),
        to_ms: today.sunset_ms.unwrap_or(today.transit_ms + half_day),
    };
    if today.up_at_transit {
        for side in WholeSide::ALL {
            let when: Vec<String> = rakes(body, &at, heading, *side, span)
                .iter()
                .map(|it| format!("{} to {}", time(it.from_ms), time(it.to_ms)))
                .collect();
            let name = speech.word("whole-side", side.word());
            lines.push(match when.is_empty() {
                true => format!("It rakes the {name} at no time today."),
                false => format!("It rakes the {name} {}.", when.join(" and ")),
            });
        }
    } else {
        lines.push("It does not rise today.".to_owned());
    }
    if let Some(side) = ask.shade {
        let name = speech.word("whole-side", side.word());
        let ahead = Span { from_ms: ask.at_ms, to_ms: span.to_ms.max(ask.at_ms) };
        lines.push(match shades(body, &at, side, ahead).first() {
            None => format!("However it is parked, the sun falls on the {name} at once."),
            Some(best) => {
                let until = ask.at_ms + best.lasts_ms;
                let end = if until >= ahead.to_ms {
                    "until sunset".to_owned()
                } else {
                    format!("until {}", time(until))
                };
                format!(
                    "With its front to {}° ({}) the {name} stays in the car's own shade {end}.",
                    best.heading_deg,
                    compass_point(best.heading_deg)
                )
            }
        });
    }
    Ok(SunPlanView { stands, panels, turn_deg, turned_share_ppm: turned, lines })
}

/// One of eight points of the compass.
fn compass_point(deg: u32) -> &'static str {
    const POINTS: [&str; 8] =
        ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
    POINTS[((deg * 2 + 45) / 90 % 8) as usize]
}
