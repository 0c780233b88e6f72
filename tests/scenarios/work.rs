//! Layers, clocks, lots and conditions: what a crew does beside the car, and what the record and the clocks then say.

use super::*;
use sidelong_core::api::{Alarm, AlarmBell, Clock, Now};
use sidelong_core::record::inputs::{
    BeginLayer, CarUse, ContinueWork, Humidity, LevelSection, OpenLot, ReadConditions, RecordSheet,
    SheetSays, Span, Temperatures, Undo, Waits,
};
use sidelong_core::record::views::ClockStage;
use sidelong_core::record::words::{Sleeps, Step, WashHabit};
use std::sync::{Arc, Mutex};

/// A time of 2026-06-09 in London, UTC milliseconds.
pub fn at(hour: i64, minute: i64, second: i64) -> i64 {
    MORNING_MS + ((hour - 8) * 3_600 + (minute - 10) * 60 + second) * 1_000
}

/// A clock of which wall, running time and boot are set apart, as a phone has them.
#[derive(Debug)]
pub struct PocketClock(Mutex<Now>);

impl PocketClock {
    fn new(at_ms: i64) -> Arc<Self> {
        Arc::new(Self(Mutex::new(Now {
            at_ms,
            off_min: 60,
            zone: "Europe/London".into(),
            boot: "first boot".into(),
            mono_ms: 3_600_000,
        })))
    }

    pub fn change(&self, change: impl FnOnce(&mut Now)) {
        change(&mut self.0.lock().expect("a clock"));
    }

    /// Lets so many seconds pass.
    pub fn wait(&self, seconds: i64) {
        self.change(|now| {
            now.at_ms += seconds * 1_000;
            now.mono_ms += seconds.unsigned_abs() * 1_000;
        });
    }

    /// Brings the time of 2026-06-09 up to this.
    pub fn until(&self, at_ms: i64) {
        let now = self.0.lock().expect("a clock").at_ms;
        self.wait((at_ms - now) / 1_000);
    }
}

impl Clock for PocketClock {
    fn now(&self) -> Result<Now, Error> {
        Ok(self.0.lock().expect("a clock").clone())
    }
}

/// Keeps what it was told last.
#[derive(Debug, Default)]
struct Bell(Mutex<Vec<Alarm>>);

impl AlarmBell for Bell {
    fn set(&self, alarms: Vec<Alarm>) -> Result<(), Error> {
        *self.0.lock().expect("a bell") = alarms;
        Ok(())
    }
}

impl Bell {
    fn seconds(&self) -> Vec<(String, bool, u64)> {
        let held = self.0.lock().expect("a bell");
        held.iter().map(|it| (it.panel.clone(), it.late, it.in_ms / 1_000)).collect()
    }
}

pub struct Crew {
    pub phone: Phone,
    pub clock: Arc<PocketClock>,
    bell: Arc<Bell>,
    pub job: Uuid,
    pub _folder: tempfile::TempDir,
}

pub fn crew(seed: u64) -> Crew {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(&folder.path().join("one"), seed);
    let (clock, bell) = (PocketClock::new(at(10, 0, 0)), Arc::new(Bell::default()));
    phone.platform.clock = clock.clone();
    phone.platform.bell = Some(bell.clone());
    phone.reopen().expect("opens");
    let job = phone.begin(Form::Hatch5, Stage::AsFound);
    Crew { phone, clock, bell, job, _folder: folder }
}

fn span(least_s: u32, most_s: Option<u32>) -> Option<Span> {
    Some(Span { least_s, most_s })
}

/// A coating of the user's own: levelled after 2 to 3 minutes, the next layer after an hour.
pub fn coating() -> RecordSheet {
    RecordSheet {
        kind: Step::Ceramic,
        starter: false,
        name: Some("Own coating".into()),
        version: None,
        says: SheetSays {
            dwell: span(120, Some(180)),
            next_layer: span(3_600, None),
            waits: Some(Waits {
                rain: span(86_400, None),
                wash: span(7 * 86_400, None),
                full: span(14 * 86_400, None),
                ..Waits::default()
            }),
            air: Some(Temperatures { least_mc: 10_000, most_mc: 27_000 }),
            panel: Some(Temperatures { least_mc: 10_000, most_mc: 27_000 }),
            humidity: Some(Humidity { least_pct: 40, most_pct: 70 }),
            ..SheetSays::default()
        },
        apply: None,
        remove: None,
        cautions: Vec::new(),
        source: Some("the bottle".into()),
    }
}

fn starter(kind: Step) -> Act {
    let bare = RecordSheet {
        kind,
        starter: true,
        name: None,
        says: SheetSays::default(),
        source: None,
        ..coating()
    };
    Act::RecordSheet(bare)
}

pub fn layer(panel: &str, layer: u32, sheet: Uuid) -> BeginLayer {
    BeginLayer { panel: panel.into(), part: None, layer, sheet, lot: None, who: None }
}

impl Crew {
    pub fn put(&mut self, act: Act) -> Uuid {
        Uuid::parse_str(&self.phone.put(self.job, act).input).expect("an id")
    }

    pub fn begin(&mut self, panel: &str, number: u32, sheet: Uuid) -> Uuid {
        self.put(Act::BeginLayer(layer(panel, number, sheet)))
    }

    pub fn level(&mut self, begun: Uuid) -> Uuid {
        self.put(Act::LevelSection(LevelSection { begun, who: None, then: None }))
    }

    /// Section, how far, to read.
    fn open(&self) -> Vec<(String, ClockStage, String)> {
        let clocks = self.phone.open().clocks(Some(self.job.to_string()), Locale::EnGb).expect("clocks");
        clocks.open.into_iter().map(|it| (it.section, it.stage, it.text)).collect()
    }
}

/// Scenario 16: several sections open at once, each with its own alarm, the next due on top, a late one logged as late.
#[test]
fn scenario_16_parallel_clocks() {
    let mut crew = crew(16);
    let coat = crew.put(Act::RecordSheet(coating()));
    let tar = crew.put(starter(Step::TarRemover));
    crew.clock.until(at(10, 40, 0));
    let a = crew.begin("bonnet", 1, coat);
    crew.clock.until(at(10, 40, 50));
    let who = BeginLayer { who: Some("second detailer".into()), ..layer("roof", 1, coat) };
    let b = crew.put(Act::BeginLayer(who));
    crew.clock.until(at(10, 41, 30));
    let c = crew.begin("front-left-door", 1, coat);
    crew.clock.until(at(10, 41, 40));
    let dwell = crew.begin("rear-left-door", 1, tar);

    let open = crew.open();
    let text: Vec<&str> = open.iter().map(|it| it.2.as_str()).collect();
    assert_eq!(text, ["due in 20 s", "due in 1 min", "due in 1 min 10 s", "due in 1 min 50 s"]);
    assert_eq!(open[0].0, "bonnet");
    let alarms = crew.bell.seconds();
    let of = |panel: &str| -> Vec<(bool, u64)> {
        alarms.iter().filter(|it| it.0 == panel).map(|it| (it.1, it.2)).collect()
    };
    assert_eq!(of("bonnet"), [(false, 20), (true, 80)]);
    assert_eq!(of("roof"), [(false, 70), (true, 130)]);
    assert_eq!(of("front-left-door"), [(false, 110), (true, 170)]);
    // The starter set leaves tar remover on for 1 to 2 minutes.
    assert_eq!(of("rear-left-door"), [(false, 60), (true, 120)]);
    assert!(alarms.windows(2).all(|two| two[0].2 <= two[1].2), "the next one first: {alarms:?}");

    // Levelled in time; in the same touch the next section is begun.
    crew.clock.until(at(10, 42, 10));
    let then = Some(layer("tailgate", 1, coat));
    let both = crew.phone.put(crew.job, Act::LevelSection(LevelSection { begun: a, who: None, then }));
    assert_eq!(both.events.len(), 2, "one input, two entries");
    assert_eq!(crew.open().len(), 4);
    crew.level(dwell);
    // The roof is forgotten: 3 minutes are over at 10:43:50.
    crew.clock.until(at(10, 44, 35));
    let open = crew.open();
    assert_eq!(
        (open[0].0.as_str(), open[0].1, open[0].2.as_str()),
        ("roof", ClockStage::Overdue, "45 s late")
    );
    crew.level(b);
    crew.level(c);
    let clocks = crew.phone.open().clocks(Some(crew.job.to_string()), Locale::EnGb).expect("clocks");
    let late: Vec<(&str, &str)> =
        clocks.late.iter().map(|it| (it.section.as_str(), it.text.as_str())).collect();
    let expected = [
        ("roof", "levelled after 3 min 45 s, 45 s late, by phone"),
        ("left front door", "levelled after 3 min 5 s, 5 s late"),
    ];
    assert_eq!(late.len(), 2);
    assert!(late[0].1.starts_with(expected[0].1) && late[0].0 == expected[0].0, "{late:?}");
    assert_eq!(late[1], expected[1]);
    let work = crew.phone.open().work(crew.job.to_string(), Locale::EnGb).expect("the work");
    assert_eq!(work.layers[0].state, "levelled after 2 min 10 s");
    assert_eq!(work.layers[1].who, "second detailer");
}

/// Scenario 17: three things outside the sheet's limits are told, nothing is blocked, going on is on record, air and panel apart.
#[test]
fn scenario_17_weather_window() {
    let mut crew = crew(17);
    let coat = crew.put(Act::RecordSheet(coating()));
    let read = crew.put(Act::ReadConditions(ReadConditions {
        panel: None,
        sheet: None,
        air_mc: 29_000,
        panel_mc: Some(38_000),
        rh_ppm: 350_000,
        sun_on_panel: false,
        note: None,
    }));
    crew.put(Act::ContinueWork(ContinueWork { conditions: read, reason: Some("no other day".into()) }));
    let begun = crew.begin("bonnet", 1, coat);
    crew.clock.wait(150);
    crew.level(begun);
    let work = crew.phone.open().work(crew.job.to_string(), Locale::EnGb).expect("the work");
    let told = &work.conditions[0];
    assert_eq!(
        told.notes,
        [
            "air 29 °C: at most 27 °C by the sheet",
            "panel 38 °C: at most 27 °C by the sheet",
            "humidity 35 %: at least 40 % by the sheet"
        ]
    );
    assert!(told.text.starts_with("air 29 °C, panel 38 °C, humidity 35 %, dew point 12 °C"), "{}", told.text);
    assert!(told.continued[0].ends_with(": no other day"), "{:?}", told.continued);
    assert_eq!(work.layers[0].notes, told.notes, "the layer that was put on then says so too");
    let page = crew.phone.open().report(crew.job.to_string(), Locale::EnGb).expect("a page");
    assert!(page.contains("Panel 38 °C: at most 27 °C by the sheet") && page.contains("no other day"));
}

/// Scenario 18: three waits after a coating as days and times of day, the same after a restart and three days offline, over a
/// clock that was set back, and over the end of summer time.
#[test]
fn scenario_18_cure_clocks() {
    let mut crew = crew(18);
    let coat = crew.put(Act::RecordSheet(coating()));
    crew.clock.until(at(15, 17, 30));
    let begun = crew.begin("bonnet", 1, coat);
    crew.clock.until(at(15, 20, 0));
    crew.level(begun);
    let told = |crew: &Crew| -> Vec<String> {
        let cure = crew.phone.open().cure_clocks(crew.job.to_string(), Locale::EnGb).expect("clocks");
        let wanted = ["rain", "wash", "full"];
        let mine = cure.iter().filter(|it| wanted.contains(&it.wait.as_str()));
        mine.map(|it| format!("{} {}", it.day, it.time)).collect()
    };
    let expected = ["Wed 10 June 2026 15:20", "Tue 16 June 2026 15:20", "Tue 23 June 2026 15:20"];
    assert_eq!(told(&crew), expected);
    // Off for three days, then started again.
    crew.clock.change(|now| {
        now.at_ms += 3 * DAY_MS;
        now.boot = "second boot".into();
        now.mono_ms = 20_000;
    });
    crew.phone.reopen().expect("opens");
    assert_eq!(told(&crew), expected);
    let cure = crew.phone.open().cure_clocks(crew.job.to_string(), Locale::EnGb).expect("clocks");
    let rain = cure.iter().find(|it| it.wait == "rain").expect("rain");
    let wash = cure.iter().find(|it| it.wait == "wash").expect("a wash");
    assert_eq!((rain.left_ms, wash.left_ms), (0, 4 * 86_400_000));
    assert!(wash.sure && wash.text.starts_with("No wash until Tue 16 June 2026, 15:20"), "{}", wash.text);
}

/// A clock that is set back an hour ends no wait early, and a section that waits counts on.
#[test]
fn scenario_18_clock_set_back() {
    let mut crew = crew(180);
    let coat = crew.put(Act::RecordSheet(coating()));
    let begun = crew.begin("bonnet", 1, coat);
    crew.clock.wait(60);
    crew.clock.change(|now| now.at_ms -= 3_600_000);
    assert_eq!(crew.open()[0].2, "due in 1 min");
    crew.clock.wait(90);
    assert_eq!(crew.open()[0].2, "due, 30 s left");
    crew.level(begun);
    let cure = crew.phone.open().cure_clocks(crew.job.to_string(), Locale::EnGb).expect("clocks");
    let left = |wait: &str| cure.iter().find(|it| it.wait == wait).expect("a wait").left_ms;
    assert_eq!(left("rain"), 86_400_000);
    // Set back over a restart: what has passed for certain counts, more is not claimed, and that is said.
    crew.clock.change(|now| {
        now.at_ms -= 7_200_000;
        now.boot = "second boot".into();
        now.mono_ms = 600_000;
    });
    crew.phone.reopen().expect("opens");
    let cure = crew.phone.open().cure_clocks(crew.job.to_string(), Locale::EnGb).expect("clocks");
    let rain = cure.iter().find(|it| it.wait == "rain").expect("rain");
    assert_eq!((rain.left_ms, rain.sure), (86_400_000 - 600_000, false));
}

/// The night in which clocks go back: 24 hours are 24 hours, and end at another time of day (last Sunday of October; IANA zone
/// database).
#[test]
fn scenario_18_over_the_end_of_summer_time() {
    let mut crew = crew(181);
    let coat = crew.put(Act::RecordSheet(coating()));
    // 2026-10-24 15:00 in London, still summer time.
    crew.clock.until(1_792_850_400_000);
    let begun = crew.begin("bonnet", 1, coat);
    crew.clock.wait(120);
    crew.level(begun);
    let cure = crew.phone.open().cure_clocks(crew.job.to_string(), Locale::EnGb).expect("clocks");
    let rain = cure.iter().find(|it| it.wait == "rain").expect("rain");
    assert_eq!((rain.day.as_str(), rain.time.as_str()), ("Sun 25 October 2026", "14:02"));
}

/// A sheet that is edited while the job runs: the layer that was begun keeps its version, the next one has the new one.
#[test]
fn a_sheet_edited_in_the_middle_of_a_job() {
    let mut crew = crew(160);
    let coat = crew.put(Act::RecordSheet(coating()));
    let first = crew.begin("bonnet", 1, coat);
    let edited =
        RecordSheet { says: SheetSays { dwell: span(300, Some(360)), ..coating().says }, ..coating() };
    let edited = crew.put(Act::RecordSheet(edited));
    let second = crew.begin("roof", 1, edited);
    crew.clock.wait(150);
    let open = crew.open();
    assert_eq!((open[0].0.as_str(), open[0].2.as_str()), ("bonnet", "due, 30 s left"));
    assert_eq!((open[1].0.as_str(), open[1].2.as_str()), ("roof", "due in 2 min 30 s"));
    crew.level(first);
    crew.level(second);
    let work = crew.phone.open().work(crew.job.to_string(), Locale::EnGb).expect("the work");
    assert_eq!(work.layers[0].product, "Own coating");
    assert_eq!(work.layers[1].product, "Own coating, version 2");
    let newer = work.sheets[0].newer.as_deref().expect("said");
    assert!(newer.contains("edited to version 2"), "{newer}");
    // In another job the newest version is at hand, without what was filled in.
    let known = crew.phone.open().sheets(Locale::EnGb).expect("sheets");
    assert_eq!((known.len(), known[0].version), (1, 2));
    assert_eq!(known[0].input.says.dwell, span(300, Some(360)));
    assert_eq!(known[0].input.says.life, None, "its life was common practice, not from the sheet");
}

/// Two phones, offline from each other, time one section: both clocks are kept and shown.
#[test]
fn two_phones_time_one_section() {
    let mut crew = crew(161);
    let coat = crew.put(Act::RecordSheet(coating()));
    let mut two = Phone::new(&crew._folder.path().join("two"), 162);
    two.clock.set(at(10, 0, 0));
    two.join(&mut crew.phone);
    let mine = crew.begin("bonnet", 1, coat);
    let theirs = two.put(crew.job, Act::BeginLayer(layer("bonnet", 1, coat)));
    crew.clock.wait(130);
    crew.level(mine);
    crew.phone.join(&mut two);
    let work = crew.phone.open().work(crew.job.to_string(), Locale::EnGb).expect("the work");
    assert_eq!(work.layers.len(), 2);
    assert!(work.layers.iter().all(|it| it.notes.iter().any(|note| note.contains("timed this section too"))));
    let clocks = crew.phone.open().clocks(None, Locale::EnGb).expect("clocks");
    let open: Vec<&str> = clocks.open.iter().map(|it| it.layer_id.as_str()).collect();
    assert_eq!(open, [theirs.input.as_str()], "the other phone's clock runs on until it is levelled");
}

/// Which cars had a lot, and under what conditions; erasing its text takes it out of the answer.
#[test]
fn which_cars_had_a_lot() {
    let mut crew = crew(163);
    let mut jobs = vec![crew.job];
    for number in 0..3 {
        if number > 0 {
            crew.job = crew.phone.begin(Form::Saloon, Stage::AsFound);
            jobs.push(crew.job);
        }
        let coat = crew.put(Act::RecordSheet(coating()));
        let text = if number == 1 { "B 2207" } else { "B-22O7" };
        let lot = OpenLot { sheet: coat, lot: text.into(), opened: Some("2026-06-01".into()), use_by: None };
        let lot = crew.put(Act::OpenLot(lot));
        if number < 2 {
            crew.put(Act::ReadConditions(ReadConditions {
                panel: None,
                sheet: None,
                air_mc: 18_000,
                panel_mc: Some(15_000),
                rh_ppm: 750_000,
                sun_on_panel: false,
                note: None,
            }));
            let begun = crew.put(Act::BeginLayer(BeginLayer { lot: Some(lot), ..layer("bonnet", 1, coat) }));
            crew.clock.wait(200);
            crew.level(begun);
        }
    }
    let lots = |crew: &Crew| crew.phone.open().lots("b22o7".into(), Locale::EnGb).expect("lots");
    let found = lots(&crew);
    assert_eq!(
        (found.jobs, found.uses.len(), found.complete),
        (2, 2, true),
        "a lot that was not used is not listed"
    );
    let newest = &found.uses[0];
    assert_eq!((newest.job.clone(), newest.lot.as_str()), (jobs[1].to_string(), "B 2207"));
    assert_eq!(newest.state, "levelled after 3 min 20 s, 20 s late");
    assert!(newest.conditions.starts_with("air 18 °C, panel 15 °C, humidity 75 %, dew point 13."));
    assert!(newest.notes.iter().any(|note| note.contains("above the dew point")), "{:?}", newest.notes);
    crew.phone.open().rebuild_tables().expect("built again");
    assert_eq!(lots(&crew), found, "the table says what the log says");
    let erased = sidelong_core::record::words::Kept::Texts;
    crew.phone
        .open()
        .erase_job(jobs[1].to_string(), vec![erased], "asked".into(), Locale::EnGb)
        .expect("erased");
    assert_eq!(lots(&crew).jobs, 1);
    assert!(crew.phone.open().check(None).expect("checks").findings.is_empty());
}

/// The next layer too early, and what follows for the owner: waits and dates, in the page and as a calendar.
#[test]
fn a_second_layer_and_what_is_handed_over() {
    let mut crew = crew(164);
    let coat = crew.put(Act::RecordSheet(coating()));
    for number in 1..=2 {
        let begun = crew.begin("bonnet", number, coat);
        crew.clock.wait(150);
        crew.level(begun);
        crew.clock.wait(1_200);
    }
    crew.put(Act::RecordUse(CarUse {
        km_a_year: Some(30_000),
        sleeps: Some(Sleeps::Outside),
        washed: Some(WashHabit::Tunnel),
        ..CarUse::default()
    }));
    let work = crew.phone.open().work(crew.job.to_string(), Locale::EnGb).expect("the work");
    let said = "begun 20 min after the layer below was levelled: at least 1 h by the sheet";
    assert_eq!(work.layers[1].notes, [said]);
    let wash = work.aftercare.iter().find(|it| it.wait.as_deref() == Some("wash")).expect("a wash");
    assert!(wash.text.starts_with("No wash until Tue 16 June 2026, 10:25"), "{}", wash.text);
    assert_eq!(work.look_again.len(), 1, "{:?}", work.look_again);
    assert!(work.look_again[0].reasons.iter().any(|it| it.contains("20,000 km")), "{:?}", work.look_again);
    let file = crew.phone.open().calendar(crew.job.to_string(), Locale::EnGb).expect("a calendar");
    let unfolded = file.replace("\r\n ", "");
    assert!(unfolded.contains(&format!("UID:{}-wash\r\n", crew.job)), "{unfolded}");
    assert!(unfolded.contains("DTSTART:20260616T092500Z"), "{unfolded}");
    // A slip of the finger is taken back like any other.
    let slip = crew.begin("roof", 1, coat);
    crew.put(Act::Undo(Undo { entry: slip }));
    assert!(crew.open().is_empty());
    assert!(crew.bell.seconds().is_empty());
}
