//! What sits on a panel, and the least aggressive thing that takes it off. Pure. Rules are common practice of the trade,
//! no source.
//!
//! Wash, feel, chemical before mechanical, feel again; clay only where the paint still feels rough, on a test square
//! first, the finest first, and only where protection follows. The next step always rests on a finding, and names it.

use super::surface::{Refusal, refusal};
use super::words::{Area, Step, SurfaceKind};
use crate::error::Error;
use crate::record::words::{FeelLevel, FeelMethod, Locale, MarkKind, Reaction};
use crate::vehicle;
use serde::{Deserialize, Serialize};

/// Hotter than this, nothing is put on or rubbed, milli-°C. The trade says "over about 30 to 35" (common practice, no
/// source); the cautious end is taken.
pub const HOT_MC: i32 = 30_000;

/// One panel: what it is, what is agreed, and what was found and done, in order of time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Panel {
    /// What it is.
    pub surface: SurfaceKind,
    /// Whether it came clean; otherwise a wash among the findings makes it so.
    #[serde(default)]
    pub clean: bool,
    /// Temperature of the panel, milli-°C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel_mc: Option<i32>,
    /// What was felt and done, earliest first.
    #[serde(default)]
    pub findings: Vec<Finding>,
    /// What the owner agreed to.
    #[serde(default)]
    pub agreed: Agreed,
    /// Which chemical this crew uses first, tar or iron remover; both orders are in use.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chemical_first: Option<Step>,
}

/// What the owner agreed to, as far as it decides how far one may go.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Agreed {
    /// A layer of protection follows.
    #[serde(default)]
    pub protection: bool,
    /// Machine polishing follows.
    #[serde(default)]
    pub polish: bool,
    /// Heavy clay, by itself.
    #[serde(default)]
    pub heavy_clay: bool,
}

/// Something felt or something done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Finding {
    /// A feel test.
    Felt(Felt),
    /// A step.
    Did(Did),
}

/// A feel test.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Felt {
    /// When, UTC ms.
    pub at_ms: i64,
    /// With what.
    pub method: FeelMethod,
    /// What was felt.
    pub level: FeelLevel,
    /// What had reacted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reacted: Vec<Reaction>,
    /// Where.
    #[serde(default = "whole")]
    pub on: Area,
    /// Who.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub who: Option<String>,
}

/// A step that was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Did {
    /// When, UTC ms.
    pub at_ms: i64,
    /// Which.
    pub step: Step,
    /// What reacted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reacted: Vec<Reaction>,
    /// Where.
    #[serde(default = "whole")]
    pub on: Area,
    /// What a look saw.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub saw: Option<MarkKind>,
    /// Who.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub who: Option<String>,
}

fn whole() -> Area {
    Area::Panel
}

/// What comes next on a panel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Next {
    /// The step; none when nothing more is to be taken off, or nothing may be.
    pub step: Option<Step>,
    /// Where.
    pub on: Area,
    /// Steps that are as good in its place: the order of chemicals is the crew's.
    pub or: Vec<Step>,
    /// Why.
    pub reason: String,
    /// Number of the finding that it rests on, from 0.
    pub rests_on: Option<usize>,
    /// What must be so before it.
    pub first: Vec<String>,
    /// How it is done.
    pub how: Vec<String>,
    /// Whether clay or polish took protection off, so that protecting again follows.
    pub protect_again: bool,
    /// Set when the surface does not take what would come next.
    pub refused: Option<Refusal>,
}

/// One line of what was found and done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Line {
    /// When, UTC ms.
    pub at_ms: i64,
    /// What.
    pub text: String,
    /// Who.
    pub who: Option<String>,
}

impl Finding {
    fn at_ms(&self) -> i64 {
        match self {
            Self::Felt(felt) => felt.at_ms,
            Self::Did(did) => did.at_ms,
        }
    }

    fn reacted(&self) -> &[Reaction] {
        match self {
            Self::Felt(felt) => &felt.reacted,
            Self::Did(did) => &did.reacted,
        }
    }

    fn did(&self, step: Step) -> Option<&Did> {
        match self {
            Self::Did(did) if did.step == step => Some(did),
            _ => None,
        }
    }

    /// Work on the surface, after which it is to be felt again.
    fn work(&self) -> Option<&Did> {
        match self {
            Self::Did(did) if did.step.is_chemical() || did.step.is_clay() || did.step.is_machine() => {
                Some(did)
            }
            _ => None,
        }
    }
}

impl Panel {
    /// Checks the order of time and the chemical that is used first; `at` stands before the fields' names.
    pub fn check(&self, at: &str) -> Result<(), Error> {
        for (number, pair) in (1..).zip(self.findings.windows(2)) {
            if pair[1].at_ms() < pair[0].at_ms() {
                let reason = "earlier than the finding before it; they stand in order of time";
                return Err(Error::refused(format!("{at}findings[{number}].at_ms"), reason));
            }
        }
        for (number, finding) in self.findings.iter().enumerate() {
            let reacted = finding.reacted();
            if reacted.len() > 1 && reacted.contains(&Reaction::None) {
                let reason = "\"none\" beside something that reacted";
                return Err(Error::refused(format!("{at}findings[{number}].reacted"), reason));
            }
        }
        match self.chemical_first {
            None | Some(Step::TarRemover | Step::IronRemover) => Ok(()),
            Some(other) => Err(Error::refused(
                format!("{at}chemical_first"),
                format!("{} is neither tar nor iron remover", other.text()),
            )),
        }
    }

    /// What was found and done, for a reader.
    pub fn history(&self, locale: Locale) -> Vec<Line> {
        let word = |list, word| vehicle::text(locale, list, word).unwrap_or(word).to_owned();
        let reacted = |reacted: &[Reaction]| -> String {
            let words: Vec<String> = reacted.iter().map(|one| word("reaction", one.word())).collect();
            if words.is_empty() { String::new() } else { format!("; reacted: {}", words.join(", ")) }
        };
        let line = |finding: &Finding| match finding {
            Finding::Felt(felt) => Line {
                at_ms: felt.at_ms,
                text: format!(
                    "felt with {} on {}: {}{}",
                    word("feel-method", felt.method.word()),
                    felt.on.text(),
                    word("feel-level", felt.level.word()),
                    reacted(&felt.reacted)
                ),
                who: felt.who.clone(),
            },
            Finding::Did(did) => {
                let saw = did.saw.map(|kind| format!("; saw: {}", word("kind", kind.word())));
                let text = format!(
                    "{} on {}{}{}",
                    did.step.text(),
                    did.on.text(),
                    saw.unwrap_or_default(),
                    reacted(&did.reacted)
                );
                Line { at_ms: did.at_ms, text, who: did.who.clone() }
            }
        };
        self.findings.iter().map(line).collect()
    }
}

impl Next {
    fn new(step: Option<Step>, on: Area, rests_on: Option<usize>, reason: impl Into<String>) -> Self {
        Self {
            step,
            on,
            or: Vec::new(),
            reason: reason.into(),
            rests_on,
            first: Vec::new(),
            how: Vec::new(),
            protect_again: false,
            refused: None,
        }
    }
}

/// The least aggressive next step of a panel.
pub fn next(panel: &Panel) -> Result<Next, Error> {
    panel.check("")?;
    let mut next = decide(panel);
    if let Some(step) = next.step {
        // What is known of the surface has the last word.
        if let Some(refused) = refusal(panel.surface, step) {
            next.reason = format!("Nothing more here: {}.", refused.reason);
            next.step = None;
            next.refused = Some(refused);
        } else {
            prepare(panel, step, &mut next);
        }
    }
    next.protect_again = panel
        .findings
        .iter()
        .filter_map(Finding::work)
        .any(|did| did.step.is_clay() || did.step.is_machine());
    Ok(next)
}

fn decide(panel: &Panel) -> Next {
    let findings = &panel.findings;
    let washed = findings.iter().rposition(|finding| finding.did(Step::Wash).is_some());
    if washed.is_none() && !panel.clean {
        let reason = "Nothing is felt or rubbed on dirt: the test itself scratches.";
        return Next::new(Some(Step::Wash), Area::Panel, None, reason);
    }
    let begin = washed.map_or(0, |at| at + 1);
    let since = || findings.iter().enumerate().skip(begin);
    let mut felt = since().filter_map(|(at, finding)| match finding {
        Finding::Felt(felt) => Some((at, felt)),
        Finding::Did(_) => None,
    });
    let worked = since().filter_map(|(at, finding)| finding.work().map(|did| (at, did))).next_back();
    let (at, felt) = match (felt.next_back(), worked) {
        (Some((felt_at, felt)), worked) if worked.is_none_or(|(at, _)| at < felt_at) => (felt_at, felt),
        (_, Some((at, did))) => {
            let reason = format!("Nobody has felt {} since {}.", did.on.text(), did.step.text());
            return Next::new(Some(Step::Feel), did.on, Some(at), reason);
        }
        _ => {
            let reason = "Clean, and not felt yet: the feel says whether anything is to be taken off.";
            return Next::new(Some(Step::Feel), Area::Panel, washed, reason);
        }
    };
    let clay = since().filter_map(|(_, finding)| finding.work().filter(|did| did.step.is_clay())).next_back();
    if felt.level == FeelLevel::Smooth {
        return match clay {
            Some(did) if did.on == Area::TestSquare && felt.on == Area::TestSquare => Next::new(
                Some(did.step),
                Area::Panel,
                Some(at),
                format!(
                    "{} left the test square smooth: the same on the panel.",
                    sentence_case(did.step.text())
                ),
            ),
            _ => Next::new(None, Area::Panel, Some(at), "Smooth: no clay. Protect it."),
        };
    }
    let looked =
        since().skip_while(|(number, _)| *number <= at).find_map(|(_, finding)| finding.did(Step::Look));
    if felt.level == FeelLevel::Rough {
        match looked.map(|look| look.saw) {
            None => {
                let reason = "Rough and it drags: it may be overspray, cement or failing clear. Stop and look with a \
                              loupe (10×) before any clay.";
                return Next::new(Some(Step::Look), Area::Panel, Some(at), reason);
            }
            Some(Some(MarkKind::ClearFailure | MarkKind::Crazing)) => {
                let mut next = Next::new(None, Area::Panel, Some(at), "");
                next.refused = refusal(SurfaceKind::PaintPeeling, Step::ClayFine);
                next.reason =
                    "The clear is failing: nothing that rubs goes on it. Show it to the owner.".to_owned();
                return next;
            }
            Some(_) => {}
        }
    }
    if let Some(next) = chemical(panel, begin, at) {
        return next;
    }
    grade(panel, begin, at, felt)
}

/// Chemicals that are due before clay, the crew's first one first.
fn chemical(panel: &Panel, begin: usize, at: usize) -> Option<Next> {
    let findings = &panel.findings[begin..];
    // What was met before the wash was met all the same.
    let met = |what| panel.findings.iter().any(|finding| finding.reacted().contains(&what));
    let open = |step: Step| {
        refusal(panel.surface, step).is_none() && !findings.iter().any(|finding| finding.did(step).is_some())
    };
    let mut due = Vec::new();
    if met(Reaction::Tar) && open(Step::TarRemover) {
        due.push((Step::TarRemover, "tar was met"));
    }
    if open(Step::IronRemover) {
        let why = if met(Reaction::Iron) { "iron was met" } else { "it shows whether this is iron" };
        due.push((Step::IronRemover, why));
    }
    if panel.chemical_first == Some(Step::IronRemover) {
        due.reverse();
    }
    if met(Reaction::WaterSpot) && open(Step::MineralRemover) {
        due.push((Step::MineralRemover, "minerals were met"));
    }
    let (step, why) = *due.first()?;
    let reason = format!("It feels rough, {why}: chemical before mechanical, so that clay has least to do.");
    let mut next = Next::new(Some(step), Area::Panel, Some(at), reason);
    next.or = due[1..].iter().map(|(step, _)| *step).filter(|step| *step != Step::MineralRemover).collect();
    Some(next)
}

/// Which clay, and where.
fn grade(panel: &Panel, begin: usize, at: usize, felt: &Felt) -> Next {
    let findings = &panel.findings[begin..];
    let grades = [Step::ClayFine, Step::ClayMedium, Step::ClayHeavy];
    // A grade is through when its square was felt and not smooth, or when it went over the panel twice.
    let spent = |grade: Step| {
        let square = |finding: &Finding| finding.did(grade).is_some_and(|did| did.on == Area::TestSquare);
        let failed = findings.iter().rposition(square).is_some_and(|square| {
            findings[square..].iter().any(|finding| {
                matches!(finding, Finding::Felt(felt)
                    if felt.on == Area::TestSquare && felt.level != FeelLevel::Smooth)
            })
        });
        let whole = findings.iter().filter_map(|finding| finding.did(grade));
        failed || whole.filter(|did| did.on == Area::Panel).count() > 1
    };
    let Some(grade) = grades.into_iter().find(|grade| !spent(*grade)) else {
        let reason = "Heavy clay has not taken it: what is left is in the paint. Show it to the owner.";
        return Next::new(None, Area::Panel, Some(at), reason);
    };
    let panel_begun =
        findings.iter().any(|finding| finding.did(grade).is_some_and(|did| did.on == Area::Panel));
    if panel_begun {
        let reason =
            format!("The test square came smooth, this place has not: {} there once more.", grade.text());
        return Next::new(Some(grade), Area::Panel, Some(at), reason);
    }
    let tried = findings.iter().any(|finding| finding.work().is_some_and(|did| did.step.is_chemical()));
    let reason = match grade {
        Step::ClayFine if tried => "Still rough after the chemicals: fine clay, on a test square first.",
        Step::ClayFine => {
            "Rough, and no chemical is left that this surface takes: fine clay, on a test square first."
        }
        Step::ClayMedium => "Fine clay left the test square rough: medium, on a new square.",
        _ => "Medium clay left the test square rough: heavy, on a new square.",
    };
    let mut next = Next::new(Some(grade), Area::TestSquare, Some(at), reason);
    if felt.level == FeelLevel::FewSpecks && grade != Step::ClayFine {
        next.how
            .push("A few specks may be left where they are: more clay marks more than they do.".to_owned());
    }
    next
}

/// What must be so before a step, and how it is done.
fn prepare(panel: &Panel, step: Step, next: &mut Next) {
    let touches = step.is_chemical() || step.is_clay();
    if touches && let Some(panel_mc) = panel.panel_mc.filter(|panel_mc| *panel_mc > HOT_MC) {
        next.first.push(format!(
            "Let the panel cool: {} °C, and {} °C is warm enough.",
            panel_mc / 1_000,
            HOT_MC / 1_000
        ));
    }
    if step == Step::Feel {
        next.how.push(
            "Fingertips flat, almost no pressure, slow strokes of 20 to 30 cm one way; say whether by hand, glove or bag."
                .to_owned(),
        );
        if next.on == Area::TestSquare {
            next.how.push("Then look at the square under a point of light for marks of the clay.".to_owned());
        }
    }
    if step.is_chemical() {
        next.how
            .push("Cool panel, in the shade; never let it dry on; rinse well, then feel again.".to_owned());
    }
    if !step.is_clay() {
        return;
    }
    if !panel.agreed.protection {
        next.first
            .push("Clay takes protection off: agree with the owner what protects it afterwards.".to_owned());
    }
    if step != Step::ClayFine && !panel.agreed.polish {
        next.first.push("This clay marks paint: agree on machine polishing after it.".to_owned());
    }
    if step == Step::ClayHeavy && !panel.agreed.heavy_clay {
        next.first.push("Heavy clay needs the owner's own consent.".to_owned());
    }
    next.how.push("Plenty of lubricant, straight lines; speed takes it off, not pressure.".to_owned());
    next.how.push("Fold it every half panel; what falls is binned.".to_owned());
}

fn sentence_case(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests;
