//! What still asks for a look: places that could not be seen, once there is a later walk-around to see them in. Pure.

use super::Job;
use crate::record::words::Outcome;

impl Job {
    /// Places that could not be seen in the latest walk-around that says something of them, in order of recording: a
    /// second look is asked for. An answer in a later walk-around makes up for it, "not looked" too, because then
    /// somebody said so.
    pub fn look_again(&self) -> Vec<&str> {
        let mut open: Vec<&str> = Vec::new();
        for walk in &self.walks {
            let mut said: Vec<(&str, Outcome)> = self
                .answers
                .iter()
                .filter(|answer| answer.walk == walk.id)
                .map(|answer| (answer.panel.as_str(), answer.outcome))
                .collect();
            let found =
                self.marks.iter().filter(|mark| mark.walk == walk.id).filter_map(|mark| mark.current());
            said.extend(found.map(|version| (version.description.panel.as_str(), Outcome::Marks)));
            for (panel, outcome) in said {
                open.retain(|it| *it != panel);
                if outcome == Outcome::CouldNotSee {
                    open.push(panel);
                }
            }
        }
        open
    }

    /// Those of them that an earlier walk-around left and the later ones have not answered: the visit does not end
    /// before somebody looks, or says that nobody looked.
    pub fn left_unanswered(&self) -> Vec<&str> {
        let Some(last) = self.walks.last().filter(|_| self.walks.len() > 1) else { return Vec::new() };
        let answered =
            |panel: &str| self.answers.iter().any(|answer| answer.walk == last.id && answer.panel == panel);
        self.look_again().into_iter().filter(|panel| !answered(panel)).collect()
    }
}
