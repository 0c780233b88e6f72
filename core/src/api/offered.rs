//! What a section gets next, offered as an input that is ready to be recorded: so that a further section is a touch. Pure but for
//! reading the store.
//!
//! The order of sections is the walking order, and the number of a layer is counted on its section; a person may say otherwise.

use super::jobs::id;
use super::notebook::Notebook;
use crate::care::findings::surface_of;
use crate::care::recorded;
use crate::care::sheet::{self, Sheet};
use crate::care::told::{product_text, section_text};
use crate::error::Error;
use crate::record::events::LayerBegun;
use crate::record::fold::{Job, Text};
use crate::record::inputs::{BeginLayer, CarUse};
use crate::record::views::Speech;
use crate::record::words::{Form, Locale, Step};
use crate::vehicle;
use uuid::Uuid;

/// Highest number of a layer, and of a part, that is recorded.
const MOST_LAYERS: u32 = 20;
const MOST_PARTS: u32 = 99;

/// A section with what it would get next.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct LayerOffered {
    /// The section, to read: `bonnet, part 2`.
    pub section: String,
    /// The section and the layer, to read: `bonnet, part 2, layer 1`.
    pub text: String,
    /// The product with its version, to read.
    pub product: String,
    /// The lot as it is printed, if one is named.
    pub lot: Option<String>,
    /// What to record.
    pub input: BeginLayer,
}

/// What a screen of the work asks while a person works.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct WorkNow {
    /// The form of the vehicle, for its drawing.
    pub form: Form,
    /// Sections that may follow on the last one, the likelier first; the first panel in walking order when none was begun. Empty
    /// while no sheet is on record in the job.
    pub next: Vec<LayerOffered>,
    /// How the car is used, as it was said last.
    pub used: Option<CarUse>,
}

/// A job with its sheets, as layers are offered from it.
struct Offers<'j> {
    job: &'j Job,
    sheets: Vec<(Uuid, Sheet)>,
    speech: Speech,
}

impl<'j> Offers<'j> {
    fn of(job: &'j Job, speech: Speech) -> Self {
        Self { job, sheets: recorded::sheets(job), speech }
    }

    fn sheet(&self, id: Uuid) -> Option<&(Uuid, Sheet)> {
        self.sheets.iter().find(|(it, _)| *it == id)
    }

    /// The newest version of a sheet in the job.
    fn newest(&self, id: Uuid) -> Option<&(Uuid, Sheet)> {
        let (_, named) = self.sheet(id)?;
        self.sheets.iter().filter(|(_, it)| it.name == named.name).max_by_key(|(_, it)| it.version)
    }

    /// The sheet that is used by itself on a panel: the one put on last or else recorded last, where it is for such a surface.
    fn usual(&self, panel: &str) -> Option<&(Uuid, Sheet)> {
        let begun = self.job.work.layers.iter().rev().filter_map(|layer| self.newest(layer.body.sheet));
        let known = self.sheets.iter().rev().filter_map(|(id, _)| self.newest(*id));
        let all: Vec<&(Uuid, Sheet)> = begun.chain(known).collect();
        let surface = surface_of(self.job, panel);
        let suits = |it: &&&(Uuid, Sheet)| it.1.is_for(surface) != Some(false);
        all.iter().find(suits).or(all.first()).copied()
    }

    /// Layers lie on each other; whatever else waits (a dwell of tar remover) is counted by itself.
    fn counts(&self, begun: &LayerBegun, kind: Step) -> bool {
        let other = self.sheet(begun.sheet).map(|(_, sheet)| sheet.kind);
        other.is_some_and(|other| other == kind || (other.is_layer() && kind.is_layer()))
    }

    /// The highest layer of this kind on a section, with those on the whole of its panel.
    fn highest(&self, panel: &str, part: Option<u32>, kind: Step) -> u32 {
        let here = self.job.work.layers.iter().map(|layer| &layer.body).filter(|body| {
            body.panel == panel
                && (part.is_none() || body.part.is_none() || body.part == part)
                && self.counts(body, kind)
        });
        here.map(|body| body.layer).max().unwrap_or(0)
    }

    fn offer(&self, panel: &str, part: Option<u32>, chosen: &(Uuid, Sheet)) -> LayerOffered {
        let (sheet_id, sheet) = chosen;
        let layer = (self.highest(panel, part, sheet.kind) + 1).min(MOST_LAYERS);
        // The lot that was opened last: an earlier one of the same product is empty as a rule.
        let lot = self.job.work.lots.iter().rev().find(|lot| {
            self.sheet(lot.body.sheet).is_some_and(|(_, it)| it.name == sheet.name && it.kind == sheet.kind)
        });
        let section = section_text(self.speech, panel, part);
        LayerOffered {
            text: format!("{section}, layer {layer}"),
            section,
            product: product_text(Some(sheet)),
            lot: lot.and_then(|lot| match lot.text("lot") {
                Text::Here(text) => Some(text),
                _ => None,
            }),
            input: BeginLayer {
                panel: panel.to_owned(),
                part,
                layer,
                sheet: *sheet_id,
                lot: lot.map(|lot| lot.id),
                who: None,
            },
        }
    }

    /// Sections that may follow on one: the next part of its panel where it was worked in parts, and the next panel in walking
    /// order that is such a surface and lacks this layer.
    fn after(&self, layer: Uuid) -> Option<Vec<LayerOffered>> {
        let begun = &self.job.work.layers.iter().find(|it| it.id == layer)?.body;
        let Some(chosen) = self.newest(begun.sheet) else { return Some(Vec::new()) };
        let kind = chosen.1.kind;
        let lacks = |panel: &str, part: Option<u32>| self.highest(panel, part, kind) < begun.layer;
        let mut next = Vec::new();
        if let Some(part) = begun.part.map(|part| part + 1).filter(|part| *part <= MOST_PARTS)
            && lacks(&begun.panel, Some(part))
        {
            next.push(self.offer(&begun.panel, Some(part), chosen));
        }
        let Some(now) = self.job.vehicle() else { return Some(next) };
        let places = vehicle::asked_for(now.form, &now.scope);
        let at = places.iter().position(|place| *place == begun.panel).map_or(0, |at| at + 1);
        let round = places.iter().cycle().skip(at).take(places.len());
        let suits = |panel: &str| chosen.1.is_for(surface_of(self.job, panel)) != Some(false);
        if let Some(panel) =
            round.copied().find(|panel| *panel != begun.panel && suits(panel) && lacks(panel, None))
        {
            next.push(self.offer(panel, begun.part.map(|_| 1), chosen));
        }
        Some(next)
    }
}

fn now(job: &Job, speech: Speech) -> Option<WorkNow> {
    let offers = Offers::of(job, speech);
    let vehicle = job.vehicle()?;
    let next = match job.work.layers.last() {
        Some(layer) => offers.after(layer.id).unwrap_or_default(),
        None => {
            let first = vehicle::asked_for(vehicle.form, &vehicle.scope).first().copied();
            first
                .and_then(|panel| Some(offers.offer(panel, None, offers.usual(panel)?)))
                .into_iter()
                .collect()
        }
    };
    let used = job.work.uses.last().map(|it| it.body.used);
    Some(WorkNow { form: vehicle.form, next, used })
}

fn not_here(job: &str) -> Error {
    Error::NotFound { what: format!("job {job}") }
}

#[uniffi::export]
impl Notebook {
    /// What a section gets next: the next layer on it, with the product and lot used last, or with a sheet of this job that is
    /// named. None while no sheet is on record in the job.
    ///
    /// # Errors
    /// No place of that name on this vehicle, no such sheet or job, or the store could not be read.
    pub fn layer_offered(
        &self,
        job: String,
        panel: String,
        part: Option<u32>,
        sheet: Option<Uuid>,
        locale: Locale,
    ) -> Result<Option<LayerOffered>, Error> {
        let mut store = self.lock()?;
        let folded = store.job(id(&job)?)?;
        let form = folded.vehicle().ok_or_else(|| not_here(&job))?.form;
        if !vehicle::has_place(form, &panel) {
            return Err(Error::refused("panel", format!("no place \"{panel}\" on this form")));
        }
        let offers = Offers::of(folded, Speech { locale });
        let chosen = match sheet {
            None => offers.usual(&panel),
            Some(id) => Some(offers.sheet(id).ok_or_else(|| {
                Error::refused("sheet", format!("no product sheet {id} in this job; record it first"))
            })?),
        };
        Ok(chosen.map(|chosen| offers.offer(&panel, part, chosen)))
    }

    /// The form of a job's vehicle, the sections that may come next, and how the car is used.
    ///
    /// # Errors
    /// The job is not here, or the store could not be read.
    pub fn work_now(&self, job: String, locale: Locale) -> Result<WorkNow, Error> {
        let mut store = self.lock()?;
        now(store.job(id(&job)?)?, Speech { locale }).ok_or_else(|| not_here(&job))
    }

    /// Number of sections that are open now, of all jobs: whether there is a clock to show. Read from a table, whatever the number
    /// of jobs.
    ///
    /// # Errors
    /// The store could not be read.
    pub fn open_sections(&self) -> Result<u32, Error> {
        self.lock()?.open_sections()
    }

    /// The sections that may follow on one that is levelled, the likelier first: its panel's next part where it was worked in
    /// parts, then the next panel in walking order that has such a surface and lacks this layer.
    ///
    /// # Errors
    /// The job or the layer is not here, or the store could not be read.
    pub fn sections_offered(
        &self,
        job: String,
        layer_id: Uuid,
        locale: Locale,
    ) -> Result<Vec<LayerOffered>, Error> {
        let mut store = self.lock()?;
        let offers = Offers::of(store.job(id(&job)?)?, Speech { locale });
        offers.after(layer_id).ok_or_else(|| Error::NotFound { what: format!("layer {layer_id}") })
    }
}

/// The steps for which the starter set has a sheet, in the order of the work.
#[uniffi::export]
pub fn sheets_offered() -> Vec<Step> {
    // The set is read from this program itself and tested whole.
    let kinds = sheet::starter().map(|sheets| sheets.iter().map(|sheet| sheet.kind).collect());
    let mut kinds: Vec<Step> = kinds.unwrap_or_default();
    kinds.sort_unstable();
    kinds.dedup();
    kinds
}
