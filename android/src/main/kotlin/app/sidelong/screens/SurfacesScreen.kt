package app.sidelong.screens

import sidelong.core.*

/**
 * The surfaces of a job: one place is open with what comes next there, why and on what it rests; the others stand below in the
 * core's order. What comes next is put on record here.
 */
class SurfacesScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val job get() = about("job")
    var treated: TreatedView? = null
        private set
    private var names: Map<String, PlaceSurfaceView> = emptyMap()

    /** What can be done with what comes next. */
    enum class Do { NOTHING, STOP, FEEL, LOOK, SQUARE, DONE }

    /** The place that is open: the one that was chosen, or else the first where something comes next. */
    val at: String? get() = page.about[AT] ?: panels.firstOrNull { view -> nexts(view).any { doing(it) != Do.NOTHING } }?.panel ?: panels.firstOrNull()?.panel
    val panels get() = treated?.panels ?: emptyList()
    val panel get() = panels.firstOrNull { it.panel == at }
    val atName get() = at?.let { panelName(it, desk.language) }
    val surfaceText get() = names[at]?.surfaceText

    /** Both roads of a place: what sits on it first, then polishing. */
    fun nexts(of: PanelTreatedView): List<NextStepView> = listOfNotNull(of.next, of.polish)

    /** The one that is done with the large key. */
    val next: NextStepView? get() = panel?.let(::nexts)?.firstOrNull { doing(it) != Do.NOTHING }

    /** A line of the list. */
    fun line(of: PanelTreatedView): String = nexts(of).firstOrNull { doing(it) != Do.NOTHING }?.text ?: nexts(of).firstOrNull()?.text ?: of.surfaceText

    /** What a step rests on, as it is on record. */
    fun restsOn(next: NextStepView): TreatedLineView? = panel?.history?.firstOrNull { it.entry == next.restsOn }

    /** The step that would be done: what a reason and consent are on record for counts too. */
    fun step(next: NextStepView): Step? = next.step ?: next.refused.firstOrNull { it.setAside }?.step

    fun doing(next: NextStepView): Do {
        val step = step(next)
        return when {
            next.refused.any { !it.setAside } -> Do.STOP
            step == null -> Do.NOTHING
            step == Step.FEEL -> Do.FEEL
            step == Step.LOOK -> Do.LOOK
            next.on == Area.TEST_SQUARE && panels.any { it.polish === next } -> Do.SQUARE
            else -> Do.DONE
        }
    }

    /** What can react to it. */
    val reactions get() = next?.takeIf { doing(it) == Do.DONE }?.let(::step)?.let { reactionsOffered(it) }.orEmpty().map { it to it.text(desk.language) }

    /** Places that wait for the same step in the same way. */
    val alike: List<PanelTreatedView> get() {
        val here = next?.takeIf { doing(it) == Do.DONE } ?: return emptyList()
        return panels.filter { other -> nexts(other).any { doing(it) == Do.DONE && step(it) == step(here) && it.on == here.on } }
    }

    /** Cloths that fell where nobody has looked since. */
    val waiting get() = treated?.dropped.orEmpty().filter { it.open }

    /** What was just recorded here, to be taken back. */
    val made get() = page.about[MADE]
    val madeText get() = page.about[MADE_TEXT] ?: ""

    override fun look() {
        val (job, language) = job to desk.language
        desk.ask({ core -> core.treated(job, language) to core.surfaces(job, language).places }) { (now, places) ->
            treated = now
            names = places.associateBy { it.panel }
            changed()
        }
    }

    fun open(panel: String) {
        page.about[AT] = panel
        page.about.remove(MADE)
        desk.keep()
        changed()
    }

    /** On with what comes next: done is recorded, all else has a screen of its own. */
    fun go() {
        val (next, at) = (next ?: return) to (at ?: return)
        when (doing(next)) {
            Do.NOTHING -> {}
            Do.STOP -> stop(next)
            Do.FEEL -> desk.go(Page(Names.FEEL, "job" to job, "panel" to at, "on" to next.on.name))
            Do.LOOK -> desk.go(Page(Names.STEP, "job" to job, AT to at, StepScreen.STEP to Step.LOOK.name))
            Do.SQUARE -> square()
            Do.DONE -> done(emptyList())
        }
    }

    fun stop(next: NextStepView) {
        val refusal = next.refused.firstOrNull { !it.setAside } ?: return
        desk.go(Page(Names.REFUSED, "job" to job, AT to (at ?: return), StepScreen.STEP to refusal.step.name, StepScreen.ON to next.on.name))
    }

    /** Done, and what reacted. */
    fun done(reacted: List<Reaction>) { next?.let(::step)?.let { done(reacted, listOfNotNull(at), it) } }

    /** One that is as good was done in its place. */
    fun instead(step: Step) = done(emptyList(), listOfNotNull(at), step)

    /** Done on every place that waits for it. */
    fun doneOnAll() { next?.let(::step)?.let { step -> done(emptyList(), alike.map { it.panel }, step) } }

    private fun done(reacted: List<Reaction>, on: List<String>, step: Step) {
        val next = next ?: return
        val done = RecordStep(panels = on, step = step, on = next.on, reacted = reacted)
        record(Act.RecordStep(done), step.text(desk.language))
    }

    private fun record(act: Act, text: String) = desk.record(page, job, act) { changes ->
        // The place that was worked on stays open, whatever comes first now.
        at?.let { page.about[AT] = it }
        page.about[MADE] = changes.input
        page.about[MADE_TEXT] = text
        desk.keep()
        look()
    }

    fun takeBack() {
        val entry = made ?: return
        desk.record(page, job, Act.Undo(Undo(entry = entry))) { page.about.remove(MADE); desk.keep(); look() }
    }

    /** A cloth fell: the one that was taken last, or one that nobody recorded, on the place that is open. */
    fun fell() {
        val unused = treated?.cloths.orEmpty().none { it.out == null || it.out == ClothOut.COATING }
        if (unused && at == null) return other()
        record(Act.PutOut(PutOut(why = ClothOut.DROPPED, panel = at.takeIf { unused })), ClothOut.DROPPED.text(desk.language))
    }

    /** Somebody looked where a cloth fell, under a point of light, and saw nothing. */
    fun lookedAt(fallen: DroppedView) =
        record(Act.RecordOutcome(RecordOutcome(panel = fallen.panel, outcome = Outcome.NOTHING_SEEN, light = Light.POINT)), Outcome.NOTHING_SEEN.text(desk.language))

    /** Something is there: it is marked on the walk. */
    fun mark(fallen: DroppedView) {
        val walk = generateSequence(page, desk::below).firstOrNull { it.name == Names.WALK } ?: return desk.go(Page(Names.WALK, "job" to job, AT to fallen.panel))
        walk.about[AT] = fallen.panel
        desk.backTo(Names.WALK)
    }

    fun other() = desk.go(Page(Names.WHICH_SURFACE, "job" to job))
    fun anotherStep() = at?.let { desk.go(Page(Names.STEP, "job" to job, AT to it)) }
    fun feel() = at?.let { desk.go(Page(Names.FEEL, "job" to job, "panel" to it)) }
    fun whatItIs() = at?.let { desk.go(Page(Names.SURFACE, "job" to job, AT to it)) }
    fun work() = desk.go(Page(Names.WORK, "job" to job).also { page -> at?.let { page.about[AT] = it } })
    fun plan() = desk.go(Page(Names.PLAN, "job" to job))

    /** A square that is not complete is gone on with. */
    fun square() {
        val at = at ?: return
        val complete = panel?.polish?.let { it.restsOn == null || it.first.isEmpty() } ?: true
        desk.go(Page(if (complete) Names.TRY_SQUARE else Names.SQUARE, "job" to job, AT to at))
    }

    fun cloths() {
        val at = at ?: return other()
        val cloths = Page(Names.CLOTHS, "job" to job, AT to at)
        (next?.let(::step))?.let { cloths.about[StepScreen.STEP] = it.name }
        desk.go(cloths)
    }

    companion object {
        /** Under this name `about` holds the place that is open. */
        const val AT = "at"
        private const val MADE = "made"
        private const val MADE_TEXT = "made-text"
    }
}

/** What a surface is, and what on it is kept off. */
class SurfaceScreen(desk: Desk, page: Page) : Screen(desk, page) {
    private var view: SurfacesView? = null
    val panelName get() = panelName(about(SurfacesScreen.AT), desk.language)
    val place get() = view?.places?.firstOrNull { it.panel == about(SurfacesScreen.AT) }
    val kinds get() = place?.kinds.orEmpty().map { it to it.text(desk.language) }
    val edges get() = view?.edges.orEmpty().filter { it != kind }.map { it to it.text(desk.language) }
    val kind: SurfaceKind? get() = SurfaceKind.entries.firstOrNull { it.name == typed("kind") } ?: place?.surface
    val also: Set<SurfaceKind> get() = typed("also")?.let { said -> SurfaceKind.entries.filter { it.name in said.split(' ') }.toSet() } ?: place?.also.orEmpty().toSet()

    override fun look() {
        val (job, language) = about("job") to desk.language
        desk.ask({ core -> core.surfaces(job, language) }) { view = it; changed() }
    }

    fun kind(kind: SurfaceKind) = type("kind", kind.name)

    fun also(edge: SurfaceKind) {
        val now = if (edge in also) also - edge else also + edge
        type("also", now.joinToString(" ") { it.name })
    }

    fun save() {
        val kind = kind ?: return
        val surface = RecordSurface(panel = about(SurfacesScreen.AT), kind = kind, also = (also - kind).toList())
        desk.record(page, about("job"), Act.RecordSurface(surface)) { desk.back() }
    }
}

/** Which place is meant: every place with what it is, by what it is. */
class WhichSurfaceScreen(desk: Desk, page: Page) : ChoiceScreen(desk, page) {
    private var view: SurfacesView? = null
    override val gloves = false
    override val questions: List<Question> get() = view?.groups.orEmpty().map { group ->
        val there = view?.places.orEmpty().filter { it.panel in group.panels }
        Question(group.name, there.map { it.panel to it.panelName }, desk.below(page)?.about?.get(SurfacesScreen.AT), group.name)
    }

    override fun look() {
        val (job, language) = about("job") to desk.language
        desk.ask({ core -> core.surfaces(job, language) }) { view = it; changed() }
    }

    override fun answer(question: String, answer: String) {
        desk.below(page)?.about?.set(SurfacesScreen.AT, answer)
        desk.back()
    }
}
