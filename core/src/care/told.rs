//! What is shown of the work: from a job's account to texts ready to read. Pure.

use super::aftercare::{Suggestion, range_text, time_text, wait_text};
use super::clocks::{Moment, OpenClock, Stage};
use super::cure;
use super::recorded::{Account, Layer};
use super::sheet::{Sheet, Span};
use super::words::Wait;
use crate::error::Error;
use crate::record::events::{ConditionsRead, LayerBegun, SheetRecorded, short_log};
use crate::record::fold::{Item, Job, Stamp};
use crate::record::inputs::{RecordSheet, SheetSays, Waits};
use crate::record::times;
use crate::record::views::{
    AftercareLine, ClockStage, ClockView, ConditionsView, CureView, LateView, LayerView, LookAgainView,
    LotView, SheetView, Speech, WorkView,
};
use uuid::Uuid;

/// A section as people say it.
pub fn section_text(speech: Speech, panel: &str, part: Option<u32>) -> String {
    match part {
        Some(part) => format!("{}, part {part}", speech.panel(panel)),
        None => speech.panel(panel),
    }
}

/// A product with its version.
pub fn product_text(sheet: Option<&Sheet>) -> String {
    sheet.map_or_else(
        || "a sheet that is not on record here".to_owned(),
        |sheet| match sheet.version {
            1 => sheet.name.clone(),
            version => format!("{}, version {version}", sheet.name),
        },
    )
}

/// `45 s`, `2 min 30 s`, `3 h 20 min`, `2 days`.
pub fn passed_text(ms: u64) -> String {
    let s = ms / 1_000;
    match (s / 60, s % 60) {
        (0, s) => format!("{s} s"),
        (min @ 1..=9, s @ 1..) => format!("{min} min {s} s"),
        (min @ 1..=89, _) => format!("{min} min"),
        (min, _) if min >= 2_880 => format!("{} days", min / 1_440),
        (min, _) if min % 60 == 0 => format!("{} h", min / 60),
        (min, _) => format!("{} h {} min", min / 60, min % 60),
    }
}

fn span_text(span: Span) -> String {
    match span.most_s {
        Some(most_s) if most_s != span.least_s => {
            format!("{} to {}", time_text(span.least_s), time_text(most_s))
        }
        Some(_) => time_text(span.least_s),
        None => format!("at least {}", time_text(span.least_s)),
    }
}

fn degrees(mc: i32) -> String {
    let text = format!("{:.1}", f64::from(mc) / 1e3);
    format!("{} °C", text.strip_suffix(".0").unwrap_or(&text))
}

/// What was measured, and the dew point that follows.
pub fn conditions_text(read: &ConditionsRead) -> String {
    let mut parts = vec![format!("air {}", degrees(read.air_mc))];
    parts.extend(read.panel_mc.map(|panel_mc| format!("panel {}", degrees(panel_mc))));
    let percent = format!("{:.1}", f64::from(read.rh_ppm) / 1e4);
    parts.push(format!("humidity {} %", percent.strip_suffix(".0").unwrap_or(&percent)));
    if read.sun_on_panel {
        parts.push("sun on the panel".to_owned());
    }
    parts.push(format!("dew point {}", degrees(read.dew_point_mc)));
    parts.extend(read.frost_point_mc.map(|frost_mc| format!("frost point {}", degrees(frost_mc))));
    parts.join(", ")
}

/// The zone in which times are told: the phone's by its name; where that is none that we know, its offset from UTC, in whole hours.
pub fn zone_of(zone: &str, off_min: i32) -> String {
    if cure::local(0, zone).is_ok() {
        return zone.to_owned();
    }
    match off_min / 60 {
        0 => "UTC".to_owned(),
        // POSIX counts them the other way round.
        hours => format!("Etc/GMT{:+}", -hours),
    }
}

/// A day and time of day, whole minutes, rounded up: nothing is over early.
fn wall(utc_ms: i64, zone: &str) -> Result<cure::LocalTime, Error> {
    let minutes = utc_ms.div_euclid(60_000) + i64::from(utc_ms.rem_euclid(60_000) > 0);
    cure::local(minutes.saturating_mul(60_000), zone)
}

fn wall_text(utc_ms: i64, zone: &str) -> String {
    wall(utc_ms, zone)
        .map_or_else(|_| times::spoken(utc_ms, 0, "UTC"), |at| format!("{}, {}", at.day, at.time))
}

/// What a sheet says, a line each.
pub fn sheet_lines(sheet: &Sheet) -> Vec<String> {
    let window = |least: i32, most: i32| format!("{} to {}", degrees(least), degrees(most));
    let mut lines = Vec::new();
    lines.extend(sheet.section.map(|it| match it.least == it.most {
        true => format!("at a time: {} {}", it.most, it.of.text()),
        false => format!("at a time: {} to {} {}", it.least, it.most, it.of.text()),
    }));
    lines.extend(sheet.dwell.map(|it| format!("levelled or taken off after {}", span_text(it))));
    lines.extend(sheet.next_layer.map(|it| format!("next layer after {}", span_text(it))));
    for wait in Wait::ALL {
        lines.extend(sheet.waits.of(*wait).map(|it| format!("{}: {}", wait.text(), span_text(it))));
    }
    lines.extend(sheet.air.map(|it| format!("air {}", window(it.least_mc, it.most_mc))));
    lines.extend(sheet.panel.map(|it| format!("panel {}", window(it.least_mc, it.most_mc))));
    lines.extend(sheet.humidity.map(|it| format!("humidity {} to {} %", it.least_pct, it.most_pct)));
    lines.extend((sheet.shade == Some(true)).then(|| "in the shade".to_owned()));
    lines.extend(sheet.life.map(|it| format!("lasts {}", range_text(it.least_days, it.most_days))));
    lines
}

/// The input that puts a sheet on record in another job: what the sheet itself said, without what was filled in.
pub fn sheet_input(item: &Item<SheetRecorded>, sheet: &Sheet) -> RecordSheet {
    let bare = RecordSheet {
        kind: sheet.kind,
        starter: item.body.starter,
        name: None,
        version: None,
        says: SheetSays::default(),
        apply: None,
        remove: None,
        cautions: Vec::new(),
        source: None,
    };
    if bare.starter {
        return bare;
    }
    let own = |name: &str| !item.body.usual.iter().any(|usual| usual == name);
    macro_rules! own {
        ($name:literal, $value:expr) => {
            $value.clone().filter(|_| own($name))
        };
    }
    let waits = Waits {
        touch: own!("waits.touch", sheet.waits.touch),
        rain: own!("waits.rain", sheet.waits.rain),
        wash: own!("waits.wash", sheet.waits.wash),
        chemicals: own!("waits.chemicals", sheet.waits.chemicals),
        full: own!("waits.full", sheet.waits.full),
    };
    RecordSheet {
        name: Some(sheet.name.clone()),
        version: Some(sheet.version),
        says: SheetSays {
            surfaces: if own("surfaces") { sheet.surfaces.clone() } else { Vec::new() },
            section: own!("section", sheet.section),
            coats: own!("coats", sheet.coats),
            dwell: own!("dwell", sheet.dwell),
            next_layer: own!("next_layer", sheet.next_layer),
            waits: (waits != Waits::default()).then_some(waits),
            air: own!("air", sheet.air),
            panel: own!("panel", sheet.panel),
            humidity: own!("humidity", sheet.humidity),
            life: own!("life", sheet.life),
            shade: own!("shade", sheet.shade),
        },
        apply: own!("apply", sheet.apply),
        remove: own!("remove", sheet.remove),
        cautions: if own("cautions") { sheet.cautions.clone() } else { Vec::new() },
        source: sheet.source.clone(),
        ..bare
    }
}

/// Everything on record about the work of a job; `zone` is that of the aftercare's times.
pub fn work_view(job: &Job, account: &Account, speech: Speech, zone: &str) -> WorkView {
    let told = Told { job, account, speech };
    let mut view = WorkView {
        sheets: job.work.sheets.iter().filter_map(|it| told.sheet(it)).collect(),
        lots: told.lots(),
        conditions: job.work.conditions.iter().map(|it| told.conditions(it)).collect(),
        layers: account.layers.iter().map(|it| told.layer(it)).collect(),
        zone: zone.to_owned(),
        ..WorkView::default()
    };
    match account.aftercare(|begun| told.section(begun)) {
        Ok(after) => {
            view.aftercare = after
                .lines
                .iter()
                .map(|line| AftercareLine {
                    wait: line.wait.map(|wait| wait.word().to_owned()),
                    until_ms: line.until_ms,
                    text: line.say(&line.until_ms.map(|ms| wall_text(ms, zone)).unwrap_or_default()),
                    because: (!line.because.is_empty()).then(|| line.because.clone()),
                })
                .collect();
            view.look_again = look_again(&after.look_again, zone);
            view.notes = after.notes;
        }
        Err(why) => view.notes.push(format!("the aftercare cannot be told: {why}")),
    }
    view
}

/// Suggestions; what is asked of several places on the same days is one.
fn look_again(all: &[Suggestion], zone: &str) -> Vec<LookAgainView> {
    let day = |ms: i64| {
        cure::local(ms, zone).map_or_else(|_| (String::new(), times::day(ms, 0)), |at| (at.date, at.day))
    };
    let mut groups: Vec<Vec<&Suggestion>> = Vec::new();
    for it in all {
        let same = |other: &Suggestion| {
            (other.step, &other.reasons) == (it.step, &it.reasons)
                && (day(other.from_ms).0, day(other.by_ms).0) == (day(it.from_ms).0, day(it.by_ms).0)
        };
        match groups.iter_mut().find(|group| group.first().is_some_and(|first| same(first))) {
            Some(group) => group.push(it),
            None => groups.push(vec![it]),
        }
    }
    let view = |group: Vec<&Suggestion>| {
        let first = *group.first()?;
        let mut places: Vec<&str> = Vec::new();
        for it in &group {
            if !places.contains(&it.place.as_str()) {
                places.push(&it.place);
            }
        }
        // The sentence of the first, with every place in it.
        let text = match first.text.split_once(&format!(" on {} after about ", first.place)) {
            Some((_, after)) => {
                format!("Look again at {} on {} after about {after}", first.step.text(), places.join(", "))
            }
            None => first.text.clone(),
        };
        let ((from_day, from_text), (_, by_text)) = (day(first.from_ms), day(first.by_ms));
        Some(LookAgainView { text, from_day, from_text, by_text, reasons: first.reasons.clone() })
    };
    groups.into_iter().filter_map(view).collect()
}

/// The clocks of a job's open sections at a moment.
pub fn clock_views(
    job: &Job,
    account: &Account,
    now: &Moment,
    speech: Speech,
) -> (Vec<ClockView>, Vec<LateView>) {
    let told = Told { job, account, speech };
    let open = account.clocks.open.iter().filter_map(|clock| told.clock(clock, now)).collect();
    let late = account.layers.iter().filter_map(|layer| told.late(layer)).collect();
    (open, late)
}

/// The five clocks of a job at a moment, in a zone.
pub fn cure_views(
    job: &Job,
    account: &Account,
    now: &Moment,
    zone: &str,
    speech: Speech,
) -> Result<Vec<CureView>, Error> {
    let told = Told { job, account, speech };
    let view = |end: super::recorded::CureEnd| {
        let because = account
            .layers
            .iter()
            .find(|it| it.begun.id == end.layer)
            .map(|it| format!("{}, {}", product_text(it.sheet.as_ref()), told.section(&it.begun.body)));
        let wall = wall(end.due.due_ms, zone)?;
        Ok(CureView {
            wait: end.wait.word().to_owned(),
            inside: end.inside,
            text: wait_text(end.wait, end.inside).replace("{until}", &wall_text(end.due.due_ms, zone)),
            due_ms: end.due.due_ms,
            day: wall.day,
            time: wall.time,
            left_ms: end.due.left_ms,
            sure: end.due.sure,
            because: because.unwrap_or_default(),
        })
    };
    account.cure(now, zone)?.into_iter().map(view).collect()
}

/// How a layer was levelled, without the name of who did it.
pub fn levelled_text(layer: &Layer) -> String {
    let Some(closed) = &layer.closed else { return "not levelled yet".to_owned() };
    let at_least = if closed.waited.sure { "" } else { "at least " };
    let mut text = format!("levelled after {at_least}{}", passed_text(closed.waited.ms));
    if closed.late_by_ms > 0 {
        text.push_str(&format!(", {} late", passed_text(closed.late_by_ms)));
    }
    if closed.early_by_ms > 0 {
        text.push_str(&format!(", {} early", passed_text(closed.early_by_ms)));
    }
    text
}

/// What lay outside the sheet's limits, and a layer that was put on too early or too late after the one below.
pub fn limit_notes(layer: &Layer) -> Vec<String> {
    let mut notes: Vec<String> = layer.outside.iter().map(|note| note.text.clone()).collect();
    let Some((passed, Some(asked))) = &layer.below else { return notes };
    let mut note = |asks: String| {
        let passed = passed_text(passed.ms);
        notes.push(format!("begun {passed} after the layer below was levelled: {asks} by the sheet"));
    };
    if passed.ms < u64::from(asked.least_s) * 1_000 {
        note(format!("at least {}", time_text(asked.least_s)));
    }
    if let Some(most_s) = asked.most_s.filter(|most_s| passed.ms > u64::from(*most_s) * 1_000) {
        note(format!("at most {}", time_text(most_s)));
    }
    notes
}

struct Told<'a> {
    job: &'a Job,
    account: &'a Account<'a>,
    speech: Speech,
}

impl Told<'_> {
    fn section(&self, begun: &LayerBegun) -> String {
        section_text(self.speech, &begun.panel, begun.part)
    }

    fn who<B>(&self, item: &Item<B>, stamp: &Stamp) -> String {
        let named = self.speech.typed(&item.text("who")).or_else(|| self.speech.typed(&stamp.recorder));
        named.unwrap_or_else(|| format!("phone {}", short_log(stamp.log())))
    }

    fn sheet(&self, item: &Item<SheetRecorded>) -> Option<SheetView> {
        let sheet = self.account.sheet(item.id)?;
        let usual = match (item.body.starter, item.body.usual.as_slice()) {
            (true, _) => Some("all of it is common practice, no source".to_owned()),
            (false, []) => None,
            (false, names) => {
                Some(format!("common practice, no source: {}", names.join(", ").replace(['_', '.'], " ")))
            }
        };
        let typed = [&sheet.apply, &sheet.remove]
            .into_iter()
            .flatten()
            .chain(&sheet.cautions)
            .chain(sheet.source.iter().filter(|_| !item.body.starter));
        Some(SheetView {
            id: item.id.to_string(),
            product: sheet.name.clone(),
            version: sheet.version,
            kind: sheet.kind,
            kind_text: self.speech.word("step", sheet.kind.word()),
            lines: sheet_lines(sheet),
            usual,
            typed: typed.cloned().collect(),
            newer: self.account.newer(sheet).map(|newer| {
                format!(
                    "edited to version {}; layers that were begun with version {} keep it",
                    newer.version, sheet.version
                )
            }),
            stamp: self.speech.stamp(self.job, &item.stamp),
        })
    }

    fn lots(&self) -> Vec<LotView> {
        let view = |item: &Item<crate::record::events::LotOpened>| {
            let mut lines: Vec<String> = item.body.opened.iter().map(|day| format!("opened {day}")).collect();
            lines.extend(item.body.use_by.iter().map(|day| format!("to be used up by {day}")));
            LotView {
                id: item.id.to_string(),
                lot: self.speech.typed(&item.text("lot")).unwrap_or_default(),
                product: product_text(self.account.sheet(item.body.sheet)),
                lines,
                stamp: self.speech.stamp(self.job, &item.stamp),
            }
        };
        self.job.work.lots.iter().map(view).collect()
    }

    fn conditions(&self, item: &Item<ConditionsRead>) -> ConditionsView {
        let body = &item.body;
        let went_on = self.job.work.continued.iter().filter(|it| it.body.conditions == item.id);
        ConditionsView {
            id: item.id.to_string(),
            place: body
                .panel
                .as_ref()
                .map_or_else(|| "beside the vehicle".to_owned(), |panel| self.speech.panel(panel)),
            text: conditions_text(body),
            margin_mc: body.panel_mc.map(|panel_mc| panel_mc.saturating_sub(body.dew_point_mc)),
            notes: self.account.notes(item),
            continued: went_on
                .map(|it| {
                    let reason = self.speech.typed(&it.text("reason"));
                    let reason = reason.map(|reason| format!(": {reason}")).unwrap_or_default();
                    format!("went on all the same, {}{reason}", self.speech.stamp(self.job, &it.stamp).time)
                })
                .collect(),
            note: self.speech.typed(&item.text("note")),
            stamp: self.speech.stamp(self.job, &item.stamp),
        }
    }

    fn layer(&self, layer: &Layer) -> LayerView {
        let begun = layer.begun;
        let dwell = layer.sheet.as_ref().and_then(|sheet| sheet.dwell);
        let (late_ms, early_ms) = layer.closed.as_ref().map_or((0, 0), |it| (it.late_by_ms, it.early_by_ms));
        LayerView {
            id: begun.id.to_string(),
            panel: begun.body.panel.clone(),
            section: self.section(&begun.body),
            layer: begun.body.layer,
            product: product_text(layer.sheet.as_ref()),
            lot: begun.body.lot.and_then(|id| self.lot(id)),
            who: self.who(begun, &begun.stamp),
            begun_ms: begun.stamp.seen_ms(),
            levelled_ms: layer.levelled_ms(),
            least_ms: dwell.map_or(0, |it| u64::from(it.least_s) * 1_000),
            most_ms: dwell.and_then(|it| it.most_s).map(|s| u64::from(s) * 1_000),
            next_ms: layer
                .sheet
                .as_ref()
                .and_then(|it| it.next_layer)
                .map(|it| u64::from(it.least_s) * 1_000),
            late_ms,
            early_ms,
            open: layer.levelled.is_empty(),
            state: self.state(layer),
            conditions: layer.conditions.map(|it| {
                format!("{} ({})", conditions_text(&it.body), self.speech.stamp(self.job, &it.stamp).time)
            }),
            notes: self.layer_notes(layer),
            stamp: self.speech.stamp(self.job, &begun.stamp),
        }
    }

    fn lot(&self, id: Uuid) -> Option<String> {
        let lot = self.job.work.lots.iter().find(|it| it.id == id)?;
        self.speech.typed(&lot.text("lot"))
    }

    fn state(&self, layer: &Layer) -> String {
        let text = levelled_text(layer);
        match (&layer.closed, layer.levelled.first()) {
            (Some(closed), Some(end)) if closed.opened_by != closed.closed_by => {
                format!("{text}, by {}", self.who(end, &end.stamp))
            }
            _ => text,
        }
    }

    fn layer_notes(&self, layer: &Layer) -> Vec<String> {
        let mut notes = limit_notes(layer);
        let twin = self.account.layers.iter().find(|it| {
            it.begun.id != layer.begun.id
                && it.begun.stamp.log() != layer.begun.stamp.log()
                && (&it.begun.body.panel, it.begun.body.part, it.begun.body.layer)
                    == (&layer.begun.body.panel, layer.begun.body.part, layer.begun.body.layer)
        });
        if let Some(twin) = twin {
            notes.push(format!(
                "phone {} timed this section too; both stand",
                short_log(twin.begun.stamp.log())
            ));
        }
        for again in layer.levelled.iter().skip(1) {
            let time = self.speech.stamp(self.job, &again.stamp).time;
            notes.push(format!("levelled once more, {time}, by {}", self.who(again, &again.stamp)));
        }
        notes
    }

    fn found(&self, section: &str) -> Option<&Layer<'_>> {
        self.account.layers.iter().find(|it| it.begun.id.to_string() == section)
    }

    fn clock(&self, clock: &OpenClock, now: &Moment) -> Option<ClockView> {
        let layer = self.found(&clock.section)?;
        let dwell = layer.sheet.as_ref().and_then(|sheet| sheet.dwell);
        let ends = |s: u32| {
            let left_ms = i64::from(s) * 1_000 - i64::try_from(clock.waited.ms).unwrap_or(i64::MAX);
            now.utc_ms.saturating_add(left_ms)
        };
        let (stage, text) = match clock.stage {
            Stage::Waits { due_in_ms } => (ClockStage::Waits, format!("due in {}", passed_text(due_in_ms))),
            Stage::Due { left_ms: Some(left_ms) } => {
                (ClockStage::Due, format!("due, {} left", passed_text(left_ms)))
            }
            Stage::Due { left_ms: None } => (ClockStage::Due, "due".to_owned()),
            Stage::Overdue { late_by_ms } => {
                (ClockStage::Overdue, format!("{} late", passed_text(late_by_ms)))
            }
        };
        let vehicle = self.job.vehicle();
        let plate = vehicle.and_then(|it| it.vehicle.plate.clone().or_else(|| it.vehicle.stock.clone()));
        let form = vehicle.map(|it| self.speech.word("form", it.form.word()));
        Some(ClockView {
            job: self.job.id.to_string(),
            vehicle: plate.or(form).unwrap_or_default(),
            layer_id: clock.section.clone(),
            section: self.section(&layer.begun.body),
            layer: clock.layer,
            product: product_text(layer.sheet.as_ref()),
            who: self.who(layer.begun, &layer.begun.stamp),
            stage,
            text,
            waited_ms: clock.waited.ms,
            due_ms: ends(dwell.map_or(0, |it| it.least_s)),
            late_ms: dwell.and_then(|it| it.most_s).map(ends),
            sure: clock.waited.sure,
        })
    }

    fn late(&self, layer: &Layer) -> Option<LateView> {
        let late_ms = layer.closed.as_ref().map(|it| it.late_by_ms).filter(|ms| *ms > 0)?;
        Some(LateView {
            job: self.job.id.to_string(),
            layer_id: layer.begun.id.to_string(),
            section: self.section(&layer.begun.body),
            layer: layer.begun.body.layer,
            late_ms,
            text: self.state(layer),
        })
    }
}
