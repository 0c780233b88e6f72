//! Ending the visit: the heads of every log that this phone knows, so that what it did not know can be told; how many
//! entries of the job each holds, so that none can be left out later; and what could be seen of each panel. Pure.

use super::{Known, draft, fits, typed};
use crate::error::Error;
use crate::light::{Account, MODEL_VERSION};
use crate::log::bag;
use crate::log::canon::hex;
use crate::log::seal::Draft;
use crate::record::events::{Body, CouldSee, Counted, JobClosed, PanelCouldSee};
use crate::record::fold::Job;
use crate::record::inputs::CloseJob;
use crate::record::views::Speech;
use crate::record::words::Locale;

pub(super) fn decide(job: &Job, act: &CloseJob, known: &Known) -> Result<Draft, Error> {
    let left = job.left_unanswered();
    if !left.is_empty() {
        return Err(Error::refused(
            "",
            format!(
                "{} could not be seen and got no second look: look, or record not-looked, for {}",
                if left.len() == 1 { "1 place".to_owned() } else { format!("{} places", left.len()) },
                left.join(", ")
            ),
        ));
    }
    let counted = |it: &bag::Counted| Counted { count: it.count, log: it.log.clone(), root: hex(&it.root.0) };
    let leaves = known.counted.iter().map(counted).collect();
    let mut draft = fitting(JobClosed { seen: known.heads.clone(), leaves, could_see: could_see(job) });
    typed(&mut draft, "note", "note", act.note.as_ref())?;
    Ok(draft)
}

/// Panel by panel and stage by stage; nothing for a stage without looks.
fn could_see(job: &Job) -> Vec<CouldSee> {
    // Numbers alone are asked for: whose English it is does not matter.
    let account = Account::of(job, Speech { locale: Locale::EnGb });
    let stages = account.iter().flat_map(Account::shares);
    let of = |(stage, shares): (_, Vec<crate::light::PanelShare>)| {
        let panel = |share: &crate::light::PanelShare| PanelCouldSee {
            panel: share.panel.to_owned(),
            fine_line_ppm: share.fine_line_ppm,
            haze_ppm: share.haze_ppm,
            tone_ppm: share.tone_ppm,
            proud_ppm: share.proud_ppm,
            shape_ppm: share.shape_ppm,
        };
        CouldSee { stage, model: MODEL_VERSION, panels: shares.iter().map(panel).collect() }
    };
    stages.map(of).collect()
}

/// A visit can always be ended: with the heads of very many logs, what could be seen is left out, because it can be computed
/// from the record again, and the heads cannot.
fn fitting(closed: JobClosed) -> Draft {
    let whole = draft(Body::JobClosed(closed.clone()));
    match fits("close_job", &whole) {
        Ok(()) => whole,
        Err(_) => draft(Body::JobClosed(JobClosed { could_see: Vec::new(), ..closed })),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::canon;
    use crate::record::events::Head;
    use crate::record::words::{Form, Stage};
    use crate::vehicle::geometry;

    /// The longest closing of a form: every panel looked at in every stage, every number at its longest, and so many logs.
    fn longest(form: Form, logs: usize) -> JobClosed {
        let panel = |panel: &crate::vehicle::Panel| PanelCouldSee {
            panel: panel.id.to_owned(),
            fine_line_ppm: 1_000_000,
            haze_ppm: 1_000_000,
            tone_ppm: 1_000_000,
            proud_ppm: 1_000_000,
            shape_ppm: 1_000_000,
        };
        let stage = |stage: &Stage| CouldSee {
            stage: *stage,
            model: u32::MAX,
            panels: geometry(form).panels.iter().map(panel).collect(),
        };
        let (log, root) = (format!("sidelong/demo/{}", "0".repeat(32)), "0".repeat(64));
        let most = (1 << 53) - 1;
        JobClosed {
            seen: vec![Head { log: log.clone(), root: root.clone(), size: most }; logs],
            leaves: vec![Counted { count: most, log, root }; logs],
            could_see: Stage::ALL.iter().map(stage).collect(),
        }
    }

    #[test]
    fn the_largest_body_form_fits_into_one_entry() {
        let written = |form: Form, logs| {
            let draft = fitting(longest(form, logs));
            fits("close_job", &draft).expect("fits");
            let Body::JobClosed(closed) = &draft.body else { panic!("{:?}", draft.body) };
            let bytes = canon::bytes(&draft.body.to_value().expect("JSON")).expect("canonical");
            (bytes.len(), closed.could_see.len(), closed.leaves.len())
        };
        let largest = Form::ALL.iter().map(|form| (written(*form, 20), form)).max().expect("forms");
        println!("the longest closing, with 20 logs: {largest:?}");
        assert_eq!((largest.0.1, largest.0.2), (Stage::ALL.len(), 20), "{largest:?}");
        // With very many logs the heads stay, and the visit can be ended.
        let (_, stages, logs) = written(*largest.1, 150);
        assert_eq!((stages, logs), (0, 150));
    }
}
