//! What a person is offered when they say what a surface is, which work is agreed, what reacted, and what came of a test square.
//! Pure. Which kinds a part can be is common practice of the trade, no source; nothing else is refused for not being offered.

use super::correction::wanting;
use super::findings::{Recorded, surface_of};
use super::words::{Step, SurfaceKind};
use crate::record::events::SquareTried;
use crate::record::fold::{Item, Job, Photo};
use crate::record::views::{
    PlaceGroupView, PlaceSurfaceView, Speech, SquarePhotoView, SquareView, SurfacesView,
};
use crate::record::words::{Form, Reaction, Scope};
use crate::vehicle::{self, Class};

/// The kinds that a part can be, the usual ones first.
fn kinds_of(form: Form, panel: &str) -> &'static [SurfaceKind] {
    use SurfaceKind::*;
    match vehicle::geometry(form).panel(panel).map(|it| it.class) {
        Some(Class::Paint) => &[
            PaintSolid,
            PaintMetallic,
            PaintMatt,
            PaintSingleStage,
            PaintFresh,
            PaintPeeling,
            PaintUnknown,
            Film,
            Wrap,
            TrimTextured,
            TrimGlossBlack,
            TrimBright,
            Glass,
        ],
        Some(Class::Glass) => &[Glass, GlassTinted, Film],
        Some(Class::Lamp) => &[Lamp, Film],
        Some(Class::Wheel) => &[
            WheelLacquered,
            WheelPowderCoated,
            WheelDiamondCut,
            WheelBare,
            WheelAnodised,
            WheelChrome,
            WheelUnknown,
        ],
        Some(Class::Tyre) => &[TyreWall, TyreTread, TyreMotorcycle],
        Some(Class::Trim) => &[
            TrimTextured,
            TrimGlossBlack,
            TrimBright,
            Rubber,
            SoftTop,
            PaintSolid,
            PaintMetallic,
            PaintMatt,
            Film,
            Wrap,
            LeatherCoated,
            Fabric,
            Brake,
        ],
        None => &[
            PlasticInside,
            LeatherCoated,
            LeatherBare,
            Suede,
            Fabric,
            Carpet,
            Headlining,
            Seat,
            Pedals,
            SteeringWheel,
            Belt,
            TrimGlossBlack,
            TrimBright,
            GlassTinted,
        ],
    }
}

/// What lies on a surface and is kept off: edges and neighbours that tape covers.
pub const EDGES: &[SurfaceKind] = &[
    SurfaceKind::FilmEdge,
    SurfaceKind::Decal,
    SurfaceKind::Rubber,
    SurfaceKind::TrimTextured,
    SurfaceKind::TrimGlossBlack,
    SurfaceKind::TrimBright,
    SurfaceKind::Lamp,
    SurfaceKind::Glass,
];

/// The steps that an owner agrees to: a look, a dry car and a feel test need nobody's word.
pub fn agreeable() -> Vec<Step> {
    let own = |step: &Step| !matches!(step, Step::Look | Step::Dry | Step::Feel);
    Step::ALL.iter().copied().filter(own).collect()
}

/// What can react to a step; none where nothing dissolves.
pub fn reacts_to(step: Step) -> &'static [Reaction] {
    if step.is_chemical() { Reaction::ALL } else { &[] }
}

/// A group of parts: its name, and whether what a part is made of belongs to it.
type Group = (&'static str, fn(SurfaceKind) -> bool);

/// The parts that are agreed to by one word.
const GROUPS: &[Group] = {
    use SurfaceKind::*;
    &[
        ("paint", SurfaceKind::is_paint),
        ("film and wrap", |kind| matches!(kind, Film | Wrap)),
        ("glass", |kind| matches!(kind, Glass | GlassTinted)),
        ("lamps", |kind| matches!(kind, Lamp)),
        ("trim", |kind| matches!(kind, TrimTextured | TrimGlossBlack | TrimBright | Rubber)),
        ("soft top", |kind| matches!(kind, SoftTop)),
        ("wheels", SurfaceKind::is_wheel),
        ("tyres", |kind| matches!(kind, TyreWall | TyreTread | TyreMotorcycle)),
        ("inside", SurfaceKind::is_inside),
    ]
};

impl Recorded<'_> {
    /// Every place of the vehicle with what it is: what the visit deals with, wheels and tyres, and what is named beside.
    pub fn surfaces(&self, speech: Speech) -> SurfacesView {
        let Some(now) = self.job.vehicle() else {
            return SurfacesView { places: Vec::new(), groups: Vec::new(), edges: EDGES.to_vec() };
        };
        let scope = [&now.scope[..], &[Scope::Outside, Scope::Wheels]].concat();
        let mut named: Vec<&str> = vehicle::asked_for(now.form, &scope);
        named.extend(self.panels().into_iter().filter(|panel| !named.contains(panel)).collect::<Vec<_>>());
        let agreed = self.agreed();
        let places: Vec<PlaceSurfaceView> = named
            .into_iter()
            .map(|panel| {
                let kind = surface_of(self.job, panel);
                let said = self.job.treated.surface(panel);
                let yes = agreed.iter().filter(|(_, on, yes)| *yes && *on == panel);
                PlaceSurfaceView {
                    panel: panel.to_owned(),
                    panel_name: speech.panel(panel),
                    surface: kind,
                    surface_text: speech.word("surface-kind", kind.word()),
                    recorded: said.is_some(),
                    also: said.map_or_else(Vec::new, |it| it.body.also.clone()),
                    note: said.and_then(|it| speech.typed(&it.text("note"))),
                    kinds: kinds_of(now.form, panel).to_vec(),
                    agreed: yes.map(|(step, ..)| *step).collect(),
                }
            })
            .collect();
        let group = |(name, is_of): &(&str, fn(SurfaceKind) -> bool)| PlaceGroupView {
            name: (*name).to_owned(),
            panels: places.iter().filter(|it| is_of(it.surface)).map(|it| it.panel.clone()).collect(),
        };
        let groups = GROUPS.iter().map(group).filter(|group| !group.panels.is_empty()).collect();
        SurfacesView { places, groups, edges: EDGES.to_vec() }
    }

    /// The test squares of a panel, in order, each with what is wanting of it and the photos that could be its pair.
    pub fn squares(&self, panel: &str, speech: Speech) -> Vec<SquareView> {
        self.squares_on(panel).map(|tried| self.square_view(tried, speech)).collect()
    }

    fn square_view(&self, tried: &Item<SquareTried>, speech: Speech) -> SquareView {
        let square = self.square(tried);
        let gauge_reads = self.correction(&tried.body.panel).no_reading.is_none();
        let word = |role: &str| speech.typed(&tried.text(role)).unwrap_or_default();
        let of = |photo: &&Photo| photo.attached.panel.as_ref() == Some(&tried.body.panel);
        let earlier = |photo: &&Photo| photo.stamp.key < tried.stamp.key;
        let photos = || self.job.photos.iter().filter(of);
        SquareView {
            id: tried.id.to_string(),
            step: tried.body.step,
            step_text: speech.word("step", tried.body.step.word()),
            machine: word("machine"),
            pad: word("pad"),
            polish: word("polish"),
            passes: tried.body.passes,
            wanting: wanting(&square, gauge_reads),
            gauge_reads,
            before: photos().rfind(earlier).map(|it| photo(self.job, it, speech)),
            after: photos().rfind(|it| !earlier(it)).map(|it| photo(self.job, it, speech)),
            has_pair: square.photo_pair,
            lowest_um: square.lowest_um,
            enough: square.enough,
            answer: square.owner,
            stamp: speech.stamp(self.job, &tried.stamp),
        }
    }
}

fn photo(job: &Job, photo: &Photo, speech: Speech) -> SquarePhotoView {
    let near = speech.word("view", photo.view().word());
    let stamp = speech.stamp(job, &photo.stamp);
    SquarePhotoView {
        id: photo.id.to_string(),
        sha256: photo.sha256.clone(),
        text: format!("{near}, {}", stamp.time),
    }
}
