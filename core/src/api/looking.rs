//! What a phone's screens ask while a person looks under a light: the ground to stand on, ready answers, hatching, the next look in
//! words, and what the phone's own sensors said. Rules are those of `light` and `care`.

use super::drawing::{DrawingView, LineView, LineWeight, PlaceDrawn, PointDrawn};
use super::jobs::id;
use super::light::{NextAsk, SunAsk, next, not_here, sun_plan};
use super::notebook::Notebook;
use crate::care::spots::LEAVE_SPOTS;
use crate::error::Error;
use crate::light::ground::GroundMap;
use crate::light::{self, Account, body, recorded};
use crate::record::inputs::{Earth, Ground, SweepPoint};
use crate::record::times;
use crate::record::views::{LookView, SeenPanelView, Speech};
use crate::record::words::{Form, Light, Locale, Stage, Step, WholeSide};
use crate::vehicle::{self, Sheet};

/// Half the length of a stroke of the hatching, and half the side of a place that is touched on the ground, units.
const HATCH: f64 = 3.0;
const TOUCH: f64 = 22.0;

/// How long a look took, as it is offered.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct SpentOffered {
    /// Milliseconds.
    pub spent_ms: u32,
    /// The same, to read.
    pub text: String,
}

/// How long ago a step was, as it is offered.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct AgeOffered {
    /// Seconds.
    pub age_s: u32,
    /// The same, to read.
    pub text: String,
}

/// Where a person stands, as it was touched.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct StandTouched {
    /// The place.
    pub at: Ground,
    /// The same, to read.
    pub text: String,
}

/// What the phone's rotation sensor said of one moment: a unit quaternion from the phone's frame to the ground's.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct Turned {
    /// First part.
    pub x: f32,
    /// Second part.
    pub y: f32,
    /// Third part.
    pub z: f32,
    /// The part without an axis.
    pub w: f32,
}

/// What has been looked at in the walk-around that goes on.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct LookedNow {
    /// Body form.
    pub form: Form,
    /// When in the visit, to read.
    pub stage_text: String,
    /// Looks of this stage, in order.
    pub looks: Vec<LookView>,
    /// What could have been seen, a line a panel.
    pub seen: Vec<SeenPanelView>,
    /// Hatching on the drawing that was asked for: strokes, each x and y of its ends in units.
    pub hatching: Vec<Vec<f32>>,
    /// Where on earth a look of this job was made, if that is still here.
    pub earth: Option<Earth>,
}

/// A place to look from next.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct StandNow {
    /// What to do, to read.
    pub text: String,
    /// Where that is on the drawing of the ground.
    pub at: PointDrawn,
}

/// Where to look from next.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct NextNow {
    /// Places, the best first.
    pub places: Vec<StandNow>,
    /// Why there is none, to read.
    pub none: Option<String>,
}

fn metres(at: Ground) -> [f64; 2] {
    [f64::from(at.x_mm) / 1_000.0, f64::from(at.y_mm) / 1_000.0]
}

fn on_ground([x, y]: [f64; 2]) -> Ground {
    Ground { x_mm: (x * 1_000.0).round() as i32, y_mm: (y * 1_000.0).round() as i32 }
}

fn point((x, y): (f64, f64)) -> PointDrawn {
    PointDrawn { x: x as f32, y: y as f32 }
}

fn flat(points: &[(f64, f64)]) -> Vec<f32> {
    points.iter().flat_map(|(x, y)| [*x as f32, *y as f32]).collect()
}

/// What a refusal says, as a line to read; any other error stays one.
fn reason<T>(result: Result<T, Error>) -> Result<Result<T, String>, Error> {
    match result {
        Ok(value) => Ok(Ok(value)),
        Err(Error::Refused { reason, .. }) => Ok(Err(reason)),
        Err(other) => Err(other),
    }
}

#[uniffi::export]
impl Notebook {
    /// What has been looked at in the stage of the job's latest walk-around, hatched on the drawing of a side (or of the whole
    /// vehicle).
    ///
    /// # Errors
    /// The job or its walk-around is not here, or the store could not be read.
    pub fn looked_now(
        &self,
        job: String,
        side: Option<WholeSide>,
        locale: Locale,
    ) -> Result<LookedNow, Error> {
        let mut store = self.lock()?;
        let folded = store.job(id(&job)?)?;
        let speech = Speech { locale };
        let account = Account::of(folded, speech).ok_or_else(|| not_here(&job))?;
        let stage: Stage = folded.walks.last().ok_or_else(|| not_here(&job))?.stage;
        let (form, stage_text) = (account.body().geometry.form, speech.word("stage", stage.word()));
        let map = vehicle::panel_map(form, side.map_or(Sheet::Flat, Sheet::of));
        let mut hatching = Vec::new();
        for hatch in account.hatches(stage) {
            let Some((x, y)) = map.at(hatch.panel, hatch.at.u_ppm, hatch.at.v_ppm) else { continue };
            hatching.push(flat(&[(x - HATCH, y + HATCH), (x + HATCH, y - HATCH)]));
            if hatch.crossing {
                hatching.push(flat(&[(x - HATCH, y - HATCH), (x + HATCH, y + HATCH)]));
            }
        }
        let seen = account.seen_views().into_iter().find(|it| it.stage == stage);
        Ok(LookedNow {
            form,
            looks: account.look_views().into_iter().filter(|it| it.stage_text == stage_text).collect(),
            stage_text,
            seen: seen.map(|it| it.panels).unwrap_or_default(),
            hatching,
            earth: recorded::earth(folded),
        })
    }

    /// Where to look from next, now: at most three places with the sun or a point lamp.
    ///
    /// # Errors
    /// The job is not here, the platform has no clock, or the store could not be read.
    pub fn next_now(
        &self,
        job: String,
        light: Light,
        blocked: Vec<WholeSide>,
        locale: Locale,
    ) -> Result<NextNow, Error> {
        let at_ms = self.platform.clock.now()?.at_ms;
        let mut store = self.lock()?;
        let form = store.job(id(&job)?)?.vehicle().ok_or_else(|| not_here(&job))?.form;
        let map = GroundMap::of(body(form));
        let ask = NextAsk { light, at_ms, blocked, panels: Vec::new(), stage: None, count: 3 };
        Ok(match reason(next(&mut store, &job, &ask, locale))? {
            Err(why) => NextNow { places: Vec::new(), none: Some(why) },
            Ok(all) if all.is_empty() => {
                NextNow { places: Vec::new(), none: Some("no place adds to what has been seen".to_owned()) }
            }
            Ok(all) => {
                let at = |x_mm, y_mm| point(map.drawn(metres(Ground { x_mm, y_mm })));
                let stand = |it: crate::record::views::StandView| StandNow {
                    at: at(it.x_mm, it.y_mm),
                    text: it.text,
                };
                NextNow { places: all.into_iter().map(stand).collect(), none: None }
            }
        })
    }

    /// What the sun can do for the job's vehicle now and today, a line each. The heading is that of its looks, the place on earth
    /// the one that is given or else that of a look. What is not known is said.
    ///
    /// # Errors
    /// The job is not here, the platform has no clock, or the store could not be read.
    pub fn sun_now(
        &self,
        job: String,
        earth: Option<Earth>,
        blocked: Vec<WholeSide>,
        shade: Option<WholeSide>,
        locale: Locale,
    ) -> Result<Vec<String>, Error> {
        let now = self.platform.clock.now()?;
        let mut store = self.lock()?;
        let folded = store.job(id(&job)?)?;
        let form = folded.vehicle().ok_or_else(|| not_here(&job))?.form;
        let Some(earth) = earth.or_else(|| recorded::earth(folded)) else {
            return Ok(vec!["Where on earth the vehicle stands is not known.".to_owned()]);
        };
        let Some(heading) = recorded::heading(folded) else {
            return Ok(vec![
                "Which way the vehicle points is not known: touch where the sun glares.".to_owned(),
            ]);
        };
        let (at_ms, off_min, heading_mdeg) = (now.at_ms, now.off_min, heading.mdeg);
        let ask = SunAsk { form, earth, at_ms, off_min, heading_mdeg, blocked, shade };
        Ok(match reason(sun_plan(ask, locale))? {
            Ok(plan) => std::iter::once(plan.stands).chain(plan.lines).collect(),
            Err(why) => vec![why],
        })
    }
}

/// The ground round a vehicle, its front up, with the places beside it that have a name. A touch on it is a place of the ground.
#[uniffi::export]
pub fn ground_drawing(form: Form, locale: Locale) -> DrawingView {
    let map = GroundMap::of(body(form));
    let (width, height) = map.size();
    let line =
        |weight: LineWeight, points: &[(f64, f64)]| LineView { weight, points: flat(points), closed: true };
    let mut lines: Vec<LineView> =
        map.borders().iter().map(|border| line(LineWeight::Detail, border)).collect();
    lines.push(line(LineWeight::Outline, &map.outline()));
    let places = map.besides().into_iter().map(|place| {
        let (x, y) = map.drawn(place.at);
        let (left, right, top, low) = (x - TOUCH, x + TOUCH, y - TOUCH, y + TOUCH);
        PlaceDrawn {
            panel: place.panel.to_owned(),
            name: map.words(place.at, locale),
            borders: vec![flat(&[(left, top), (right, top), (right, low), (left, low)])],
            leader: Vec::new(),
        }
    });
    DrawingView { width: width as f32, height: height as f32, lines, places: places.collect() }
}

fn touched(form: Form, at: [f64; 2], locale: Locale) -> StandTouched {
    StandTouched { at: on_ground(at), text: GroundMap::of(body(form)).words(at, locale) }
}

/// The place on the ground that a touch on its drawing means; none off the drawing, and where the vehicle itself is.
#[uniffi::export]
pub fn stand_at(form: Form, at: PointDrawn, locale: Locale) -> Option<StandTouched> {
    let place = GroundMap::of(body(form)).touched(f64::from(at.x), f64::from(at.y))?;
    Some(touched(form, place, locale))
}

/// The usual place beside a panel, beside the nearest edge for one that faces up; none inside.
#[uniffi::export]
pub fn stand_named(form: Form, panel: String, locale: Locale) -> Option<StandTouched> {
    let place = GroundMap::of(body(form)).beside_panel(&panel)?;
    Some(touched(form, place.at, locale))
}

/// Where a place on the ground is drawn.
#[uniffi::export]
pub fn stand_drawn(form: Form, at: Ground) -> PointDrawn {
    point(GroundMap::of(body(form)).drawn(metres(at)))
}

/// A place on the ground, to read.
#[uniffi::export]
pub fn stand_text(form: Form, at: Ground, locale: Locale) -> String {
    GroundMap::of(body(form)).words(metres(at), locale)
}

/// Whether a kind of light has an image that is touched on the panel; of soft light and in the dark there is none.
#[uniffi::export]
pub fn light_has_image(light: Light) -> bool {
    !matches!(light, Light::Soft | Light::Dark)
}

/// How long a look took, as it is offered. What nobody says counts as not seen.
#[uniffi::export]
pub fn spent_offered() -> Vec<SpentOffered> {
    let offered = |s: u32| SpentOffered { spent_ms: s * 1_000, text: times::lasted(i64::from(s) * 1_000) };
    [5, 20, 40, 90, 180].map(offered).to_vec()
}

/// How long ago a step was, as it is offered.
#[uniffi::export]
pub fn ages_offered() -> Vec<AgeOffered> {
    const HOUR: u32 = 3_600;
    let offered = |s: u32| AgeOffered { age_s: s, text: times::lasted(i64::from(s) * 1_000) };
    [60, 180, 600, 1_800, HOUR, 4 * HOUR, 12 * HOUR, 24 * HOUR, 72 * HOUR, 240 * HOUR].map(offered).to_vec()
}

/// The steps that leave spots, in the order of the work.
#[uniffi::export]
pub fn steps_offered() -> Vec<Step> {
    LEAVE_SPOTS.to_vec()
}

/// What a phone's rotation sensor said while its lamp was swept, as a look takes it: from where it shone first.
#[uniffi::export]
pub fn swept(turned: Vec<Turned>) -> Vec<SweepPoint> {
    let turn = |it: &Turned| [it.x, it.y, it.z, it.w].map(f64::from);
    light::sweep::swept(&turned.iter().map(turn).collect::<Vec<_>>())
}

/// A place on earth in degrees; none for one that is not there.
#[uniffi::export]
pub fn earth_at(lat_deg: f64, lon_deg: f64) -> Option<Earth> {
    let on_earth = (-90.0..=90.0).contains(&lat_deg) && (-180.0..=180.0).contains(&lon_deg);
    let udeg = |deg: f64| (deg * 1e6).round() as i32;
    on_earth.then(|| Earth { lat_udeg: udeg(lat_deg), lon_udeg: udeg(lon_deg), height_m: None })
}

/// A place on earth as a person types it: latitude, then longitude, in degrees; `52.2, -1.5`, `52,2 -1,5`, `52.2 N 1.5 W`.
/// None when it is no such place.
#[uniffi::export]
pub fn earth_typed(text: String) -> Option<Earth> {
    let text = text.trim().to_uppercase().replace('°', " ").replace('−', "-");
    let mut words: Vec<String> = Vec::new();
    let spaced = text.contains(|sign: char| sign.is_whitespace() || sign == ';');
    let parts = text.split(|sign: char| sign.is_whitespace() || sign == ';' || (!spaced && sign == ','));
    for part in parts.map(|part| part.trim_end_matches(',')).filter(|part| !part.is_empty()) {
        match (part, words.last_mut()) {
            // A letter that stands apart belongs to the number before it.
            ("N" | "S" | "E" | "W", Some(last)) => last.push_str(part),
            _ => words.push(part.replace(',', ".")),
        }
    }
    let degrees = |word: &str, forward: char, back: char| {
        let plain = word.trim_end_matches([forward, back]);
        let value = plain.parse::<f64>().ok().filter(|value| value.is_finite())?;
        match (word.ends_with(back), value < 0.0) {
            (true, true) => None,
            (true, false) => Some(-value),
            _ => Some(value),
        }
    };
    match words.as_slice() {
        [lat, lon] => earth_at(degrees(lat, 'N', 'S')?, degrees(lon, 'E', 'W')?),
        _ => None,
    }
}

/// A place on earth, to read: to a hundredth of a degree, about a kilometre.
#[uniffi::export]
pub fn earth_text(earth: Earth) -> String {
    let told = |udeg: i32, forward: char, back: char| {
        let way = if udeg < 0 { back } else { forward };
        format!("{:.2}° {way}", f64::from(udeg.unsigned_abs()) / 1e6)
    };
    format!("{}, {}", told(earth.lat_udeg, 'N', 'S'), told(earth.lon_udeg, 'E', 'W'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_on_earth_is_read_as_people_type_it() {
        let there = earth_at(52.2, -1.5);
        assert!(there.is_some());
        for text in
            ["52.2, -1.5", "52,2 -1,5", "52.2 N 1.5 W", "52.2N,1.5W", " 52.2° N, 1.5° W ", "52.2;−1.5"]
        {
            assert_eq!(earth_typed(text.to_owned()), there, "{text}");
        }
        for text in
            ["", "52.2", "52.2 -1.5 3", "91 0", "0 181", "NaN 0", "inf 0", "N W", "52.2 -1.5 W", "1,2,3"]
        {
            assert_eq!(earth_typed(text.to_owned()), None, "{text}");
        }
        assert_eq!(there.map(earth_text).as_deref(), Some("52.20° N, 1.50° W"));
    }

    #[test]
    fn what_is_offered_reads_and_grows() {
        let ages = ages_offered();
        assert!(ages.windows(2).all(|pair| pair[0].age_s < pair[1].age_s && pair[0].text != pair[1].text));
        assert!(spent_offered().windows(2).all(|pair| pair[0].spent_ms < pair[1].spent_ms));
    }

    #[test]
    fn a_place_by_name_is_where_it_is_drawn() {
        for form in [Form::Saloon, Form::Motorcycle] {
            let drawing = ground_drawing(form, Locale::EnGb);
            for place in &drawing.places {
                let named = stand_named(form, place.panel.clone(), Locale::EnGb).expect("a place");
                let drawn = stand_drawn(form, named.at);
                let touched = stand_at(form, drawn, Locale::EnGb).expect("on the ground");
                assert_eq!((&touched.text, &place.name), (&named.text, &named.text));
                assert!(
                    drawn.x > 0.0 && drawn.x < drawing.width && drawn.y > 0.0 && drawn.y < drawing.height
                );
            }
        }
    }
}
