//! The work as it is on record: each layer with its sheet, its clock, and the conditions in which it was put on; what may follow
//! from it and when. Pure: derived from a folded job each time, so that a restart or three days offline change nothing.

use super::aftercare::{self, Aftercare, CarUse, Laid};
use super::air::{About, Conditions, OutsideLimits, SheetLimits, outside_limits};
use super::clocks::{Clocks, ClosedClock, Elapsed, Entry, Happened, Moment, Trail, clocks};
use super::cure::{self, CureDue, CureTimes};
use super::findings;
use super::sheet::{self, Sheet, Span};
use super::words::{Step, SurfaceKind, Wait};
use crate::error::Error;
use crate::record::events::{ConditionsRead, LayerBegun, LayerLevelled, SheetRecorded, SheetTexts};
use crate::record::fold::{Item, Job, Stamp, Text};
use crate::record::inputs::SheetSays;
use uuid::Uuid;

/// A layer on a section, or whatever else was put there and waits: a dwell of tar remover.
#[derive(Debug, Clone)]
pub struct Layer<'j> {
    /// Its beginning.
    pub begun: &'j Item<LayerBegun>,
    /// The version of the sheet that it goes by; none when that is not on record here.
    pub sheet: Option<Sheet>,
    /// Its levellings, in order; the first one counts.
    pub levelled: Vec<&'j Item<LayerLevelled>>,
    /// How long it waited, if it was levelled.
    pub closed: Option<ClosedClock>,
    /// The reading that holds for it.
    pub conditions: Option<&'j Item<ConditionsRead>>,
    /// What lay outside its sheet's limits then.
    pub outside: Vec<OutsideLimits>,
    /// Time since the layer below was levelled, if there is one, and what that one's sheet asks for.
    pub below: Option<(Elapsed, Option<Span>)>,
}

impl Layer<'_> {
    /// When it was levelled, UTC milliseconds by the phone's clock, or as it was seen if that was entered later.
    pub fn levelled_ms(&self) -> Option<i64> {
        self.levelled.first().map(|it| it.stamp.seen_ms())
    }

    /// Whether it stays on as a layer, so that the five waits and a life follow.
    pub fn stays(&self) -> bool {
        self.sheet.as_ref().is_some_and(|sheet| sheet.kind.is_layer())
    }
}

/// Everything on record of a job's work.
#[derive(Debug, Clone)]
pub struct Account<'j> {
    job: &'j Job,
    /// Sheets by the entry that recorded them, every version.
    pub sheets: Vec<(Uuid, Sheet)>,
    /// Layers in the order in which they were begun.
    pub layers: Vec<Layer<'j>>,
    /// Clocks at the moment that was given: open sections, what is due next on top.
    pub clocks: Clocks,
    moments: Vec<Moment>,
}

/// A wait after the last layer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CureEnd {
    /// Which of the five.
    pub wait: Wait,
    /// True for what is inside the car.
    pub inside: bool,
    /// When it is over.
    pub due: CureDue,
    /// The layer that it waits for.
    pub layer: Uuid,
}

/// A sheet as its event has it.
pub fn sheet_of(item: &Item<SheetRecorded>) -> Sheet {
    let texts: SheetTexts =
        item.value("sheet").and_then(|it| serde_json::from_value(it.clone()).ok()).unwrap_or_default();
    let named = !texts.name.trim().is_empty();
    let kind = item.body.kind;
    let name = if named { texts.name } else { format!("{} (its name is not here)", kind.text()) };
    sheet_with(kind, item.body.version, item.body.says.clone(), SheetTexts { name, ..texts })
}

/// A sheet from its numbers and its texts.
pub fn sheet_with(kind: Step, version: u32, says: SheetSays, texts: SheetTexts) -> Sheet {
    Sheet {
        name: texts.name,
        version,
        kind,
        surfaces: says.surfaces,
        section: says.section,
        coats: says.coats,
        dwell: says.dwell,
        apply: texts.apply,
        remove: texts.remove,
        next_layer: says.next_layer,
        waits: says.waits.unwrap_or_default(),
        air: says.air,
        panel: says.panel,
        humidity: says.humidity,
        life: says.life,
        shade: says.shade,
        cautions: texts.cautions,
        source: texts.source,
    }
}

/// The sheets of a job by the entry that recorded them, every version.
pub fn sheets(job: &Job) -> Vec<(Uuid, Sheet)> {
    job.work.sheets.iter().map(|item| (item.id, sheet_of(item))).collect()
}

/// What lay outside a sheet's limits. A dew point matters to what stays on only. Numbers that nothing can be reckoned from, which
/// no phone of ours records, say nothing.
pub fn outside(read: &ConditionsRead, sheet: Option<&Sheet>) -> Vec<OutsideLimits> {
    let now = Conditions {
        air_mc: read.air_mc,
        panel_mc: read.panel_mc,
        rh_ppm: read.rh_ppm,
        sun_on_panel: read.sun_on_panel,
    };
    let limits = sheet.map_or_else(SheetLimits::default, |sheet| SheetLimits {
        air_least_mc: sheet.air.map(|it| it.least_mc),
        air_most_mc: sheet.air.map(|it| it.most_mc),
        panel_least_mc: sheet.panel.map(|it| it.least_mc),
        panel_most_mc: sheet.panel.map(|it| it.most_mc),
        rh_least_ppm: sheet.humidity.map(|it| it.least_pct * 10_000),
        rh_most_ppm: sheet.humidity.map(|it| it.most_pct * 10_000),
        margin_least_mc: None,
        shade: sheet.shade == Some(true),
    });
    let stays = sheet.is_none_or(|sheet| sheet.kind.is_layer());
    let notes = outside_limits(&now, &limits).unwrap_or_default();
    notes.into_iter().filter(|note| stays || note.about != About::DewPoint).collect()
}

/// A moment as the phone of an entry had it. One that was entered later was made on no phone: only wall clocks can be compared with it.
pub(super) fn moment(job: &Job, stamp: &Stamp) -> Moment {
    let made = job.made.get(&stamp.input).filter(|made| made.log == stamp.log() && stamp.observed.is_none());
    match made {
        Some(made) => {
            Moment { phone: made.log.clone(), boot: made.boot.clone(), mono_ms: made.mono, utc_ms: stamp.at }
        }
        None => Moment {
            phone: format!("{} {}", stamp.log(), stamp.input),
            boot: String::new(),
            mono_ms: 0,
            utc_ms: stamp.seen_ms(),
        },
    }
}

impl<'j> Account<'j> {
    /// Of a folded job, with its clocks at `now`; without one, at the last entry.
    pub fn of(job: &'j Job, now: Option<&Moment>) -> Self {
        let sheets = sheets(job);
        let entries = entries(job, &sheets);
        let moments: Vec<Moment> = entries.iter().map(|entry| entry.at.clone()).collect();
        let last = moments.last().cloned();
        let clocks = now.or(last.as_ref()).map(|now| clocks(&entries, now)).unwrap_or_default();
        let trail = Trail::new(&moments);
        let layers = job.work.layers.iter().map(|begun| {
            let sheet = find(&sheets, begun.body.sheet).cloned();
            let levelled = job.work.levelled.iter().filter(|it| it.body.begun == begun.id).collect();
            let key = begun.id.to_string();
            let conditions = job.work.conditions_of(begun);
            Layer {
                begun,
                levelled,
                closed: clocks.closed.iter().find(|it| it.section == key).cloned(),
                outside: conditions.map(|it| outside(&it.body, sheet.as_ref())).unwrap_or_default(),
                conditions,
                below: below(job, begun).map(|(low, end)| {
                    let passed = trail.elapsed(&moment(job, &end.stamp), &moment(job, &begun.stamp));
                    (passed, find(&sheets, low.body.sheet).and_then(|sheet| sheet.next_layer))
                }),
                sheet,
            }
        });
        let layers = layers.collect();
        Self { job, sheets, layers, clocks, moments }
    }

    /// The sheet that an entry recorded.
    pub fn sheet(&self, id: Uuid) -> Option<&Sheet> {
        find(&self.sheets, id)
    }

    /// The newest version of a sheet's product, if it is newer.
    pub fn newer(&self, sheet: &Sheet) -> Option<&Sheet> {
        let same = self.sheets.iter().map(|(_, it)| it).filter(|it| it.name == sheet.name);
        same.max_by_key(|it| it.version).filter(|it| it.version > sheet.version)
    }

    /// What a reading lay outside of: by its own sheet, or by the newest version of each that was on record before it, with the
    /// product's name where there are several.
    pub fn notes(&self, read: &Item<ConditionsRead>) -> Vec<String> {
        let before = self.job.work.sheets.iter().filter(|it| it.stamp.key < read.stamp.key);
        let known: Vec<Sheet> = match read.body.sheet.and_then(|id| self.sheet(id)) {
            Some(sheet) => vec![sheet.clone()],
            None => before.map(sheet_of).collect(),
        };
        let newest: Vec<&Sheet> = known
            .iter()
            .filter(|it| sheet::newest(&known, &it.name).is_some_and(|newest| newest == *it))
            .collect();
        let mut notes: Vec<String> = Vec::new();
        if newest.is_empty() {
            notes.extend(outside(&read.body, None).into_iter().map(|note| note.text));
        }
        for sheet in &newest {
            for note in outside(&read.body, Some(sheet)) {
                // The dew point asks the same of every sheet.
                let named = newest.len() > 1 && note.about != About::DewPoint;
                let text = if named { format!("{}: {}", sheet.name, note.text) } else { note.text };
                if !notes.contains(&text) {
                    notes.push(text);
                }
            }
        }
        notes
    }

    /// When each of the five waits is over, of what stays on: the latest end of each counts. By the wall clock as it stands now; a
    /// clock that was set meanwhile moves no end.
    pub fn cure(&self, now: &Moment, zone: &str) -> Result<Vec<CureEnd>, Error> {
        let trail = Trail::new(self.moments.iter().chain([now]));
        let mut ends: Vec<CureEnd> = Vec::new();
        for layer in self.layers.iter().filter(|layer| layer.stays()) {
            let (Some(sheet), Some(end)) = (&layer.sheet, layer.levelled.first()) else { continue };
            let longest = |wait| sheet.waits.of(wait).map(Span::longest_s);
            let times = CureTimes {
                touch_s: longest(Wait::Touch),
                rain_s: longest(Wait::Rain),
                wash_s: longest(Wait::Wash),
                chemicals_s: longest(Wait::Chemicals),
                full_s: longest(Wait::Full),
            };
            let since = trail.elapsed(&moment(self.job, &end.stamp), now);
            let inside = surface_of(self.job, &layer.begun.body.panel, sheet.kind).is_inside();
            for due in cure::cure_dues(&times, since, now.utc_ms, zone)? {
                let Some(wait) = Wait::ALL.iter().copied().find(|wait| wait.word() == due.cure.word()) else {
                    continue;
                };
                let found = CureEnd { wait, inside, due, layer: layer.begun.id };
                match ends.iter_mut().find(|it| (it.wait, it.inside) == (wait, inside)) {
                    Some(other) if other.due.due_ms >= found.due.due_ms => {}
                    Some(other) => *other = found,
                    None => ends.push(found),
                }
            }
        }
        ends.sort_by_key(|it| (it.inside, it.wait));
        Ok(ends)
    }

    /// What is handed over: waits by the phone's clock, when to look again. `place` names a layer's section.
    pub fn aftercare(&self, place: impl Fn(&LayerBegun) -> String) -> Result<Aftercare, Error> {
        let mut known: Vec<Sheet> = Vec::new();
        let mut laid = Vec::new();
        for layer in self.layers.iter().filter(|layer| layer.stays()) {
            let (Some(sheet), Some(finished_ms)) = (&layer.sheet, layer.levelled_ms()) else { continue };
            let sheet = apart(&self.sheets, layer.begun.body.sheet, sheet);
            laid.push(Laid {
                place: place(&layer.begun.body),
                kind: surface_of(self.job, &layer.begun.body.panel, sheet.kind),
                step: sheet.kind,
                sheet: Some(sheet.reference()),
                finished_ms,
            });
            if !known.contains(&sheet) {
                known.push(sheet);
            }
        }
        let car = self.job.work.uses.last().map_or_else(CarUse::default, |it| it.body.used);
        aftercare::aftercare(&laid, &known, &car)
    }
}

/// A sheet under a name of its own: two phones may have given one name and version to two sheets without knowing of each other.
pub(super) fn apart(all: &[(Uuid, Sheet)], id: Uuid, sheet: &Sheet) -> Sheet {
    let mut sheet = sheet.clone();
    let clashes = |it: &Sheet| {
        it.name == sheet.name && *it != sheet && (it.version == sheet.version || it.kind != sheet.kind)
    };
    if all.iter().any(|(_, it)| clashes(it)) {
        let id = id.simple().to_string();
        sheet.name = format!("{} [{}]", sheet.name, id.get(26..).unwrap_or_default());
    }
    sheet
}

fn find(sheets: &[(Uuid, Sheet)], id: Uuid) -> Option<&Sheet> {
    sheets.iter().find(|(own, _)| *own == id).map(|(_, sheet)| sheet)
}

/// Beginnings and levellings as the clocks take them. Each beginning is a section of its own, so that two phones that timed one
/// section both keep their clock.
fn entries(job: &Job, sheets: &[(Uuid, Sheet)]) -> Vec<Entry> {
    let who = |item: &Text, stamp: &Stamp| match (item, &stamp.recorder) {
        (Text::Here(name), _) | (_, Text::Here(name)) => name.clone(),
        _ => stamp.log().to_owned(),
    };
    let mut all: Vec<(&Stamp, Happened)> = Vec::new();
    for begun in &job.work.layers {
        let dwell = find(sheets, begun.body.sheet).and_then(|sheet| sheet.dwell);
        all.push((
            &begun.stamp,
            Happened::Opened {
                section: begun.id.to_string(),
                layer: begun.body.layer,
                person: who(&begun.text("who"), &begun.stamp),
                least_ms: dwell.map_or(0, |it| u64::from(it.least_s) * 1_000),
                most_ms: dwell.and_then(|it| it.most_s).map(|most_s| u64::from(most_s) * 1_000),
            },
        ));
    }
    for end in &job.work.levelled {
        // A second levelling of a section counts for nothing; it is shown beside the first.
        let first = job.work.levelling(end.body.begun).is_some_and(|it| it.id == end.id);
        let Some(begun) = job.work.layers.iter().find(|it| it.id == end.body.begun && first) else {
            continue;
        };
        let (section, layer) = (begun.id.to_string(), begun.body.layer);
        let person = who(&end.text("who"), &end.stamp);
        all.push((&end.stamp, Happened::Levelled { section, layer, person }));
    }
    all.sort_by(|(a, _), (b, _)| a.key.cmp(&b.key));
    all.into_iter()
        .map(|(stamp, happened)| Entry { at: moment(job, stamp), happened: vec![happened] })
        .collect()
}

/// The layer below on the same section that was levelled last before this one was begun, and its levelling.
fn below<'j>(
    job: &'j Job,
    begun: &Item<LayerBegun>,
) -> Option<(&'j Item<LayerBegun>, &'j Item<LayerLevelled>)> {
    let here = |it: &&Item<LayerBegun>| {
        it.body.panel == begun.body.panel
            && it.body.part == begun.body.part
            && it.body.layer < begun.body.layer
            && it.stamp.key < begun.stamp.key
    };
    let levelled = |it: &'j Item<LayerBegun>| Some((it, job.work.levelling(it.id)?));
    let below = job.work.layers.iter().filter(here).filter_map(levelled);
    below
        .filter(|(_, end)| end.stamp.key <= begun.stamp.key)
        .max_by(|(_, a), (_, b)| a.stamp.key.cmp(&b.stamp.key))
}

/// What a layer of this kind goes on: the panel as it is on record, or what is meant inside where that says little.
fn surface_of(job: &Job, place: &str, step: Step) -> SurfaceKind {
    use SurfaceKind::{Carpet, Fabric, LeatherCoated, PlasticInside, Seat};
    match (findings::surface_of(job, place), step) {
        (Seat | PlasticInside, Step::LeatherCare) => LeatherCoated,
        (Seat | PlasticInside | Carpet, Step::FabricGuard) => Fabric,
        (kind, _) => kind,
    }
}
