package app.sidelong.screens

import sidelong.core.*

/** Who can speak for the owner; the core refuses anybody else. */
val SPEAK_FOR_THE_OWNER = listOf(Party.OWNER, Party.AGENT, Party.FLEET_CONTACT)

/** Agreed work: steps, where, then by whom it was agreed, which saves. Silence is no agreement, so nothing is chosen beforehand. */
class WorkScreen(desk: Desk, page: Page) : Screen(desk, page) {
    private var view: SurfacesView? = null

    /** What is on record of it, to read. */
    var agreed: List<String> = emptyList()
        private set
    val steps get() = workOffered().map { it to it.text(desk.language) }
    val groups get() = view?.groups.orEmpty()
    val at get() = page.about[SurfacesScreen.AT]
    val atName get() = at?.let { panelName(it, desk.language) }
    val parties get() = SPEAK_FOR_THE_OWNER.map { it to it.text(desk.language) }
    val chosen: Set<Step> get() = Step.entries.filter { it.name in said("steps") }.toSet()
    val where: Set<String> get() = said("groups")
    val here get() = typed("here") != null

    /** True while what is said is that it is not, or no longer, wanted. */
    val not get() = typed("not") != null

    /** True when it was said who agreed before what and where. */
    var missing = false
        private set

    override fun look() {
        val (job, language) = about("job") to desk.language
        desk.ask({ core -> core.surfaces(job, language) to core.treated(job, language).agreed }) { (surfaces, texts) ->
            view = surfaces
            agreed = texts
            changed()
        }
    }

    private fun said(name: String): Set<String> = typed(name)?.split('|')?.toSet() ?: emptySet()
    private fun turn(name: String, word: String) {
        missing = false
        val now = if (word in said(name)) said(name) - word else said(name) + word
        type(name, now.joinToString("|").ifEmpty { null })
    }

    fun step(step: Step) = turn("steps", step.name)
    fun group(group: PlaceGroupView) = turn("groups", group.name)
    fun hereToo() { missing = false; type("here", if (here) null else "yes") }
    fun notWanted() = type("not", if (not) null else "yes")
    fun other() = desk.go(Page(Names.WHICH_SURFACE, "job" to about("job")))

    fun by(party: Party) {
        val panels = (groups.filter { it.name in where }.flatMap { it.panels } + listOfNotNull(at.takeIf { here })).distinct()
        missing = chosen.isEmpty() || panels.isEmpty()
        if (missing) return changed()
        val steps = Step.entries.filter { it in chosen }.map { StepAgreed(it, panels, !not) }
        desk.record(page, about("job"), Act.AgreeWork(AgreeWork(by = party, steps = steps))) { look() }
    }
}

/** A step that was done beside what comes next: which, on how much, what reacted or was seen, with what. */
class StepScreen(desk: Desk, page: Page) : Screen(desk, page) {
    private val job get() = about("job")
    private val panel get() = about(SurfacesScreen.AT)
    private val lasts = Lasts(desk.settings)
    val panelName get() = panelName(panel, desk.language)
    val step get() = Step.entries.firstOrNull { it.name == page.about[STEP] }
    val stepText get() = step?.text(desk.language)
    val areas get() = Area.entries.map { it to it.text(desk.language) }
    val on get() = Area.entries.firstOrNull { it.name == page.about[ON] } ?: Area.PANEL
    val reactions get() = step?.let { reactionsOffered(it) }.orEmpty().map { it to it.text(desk.language) }
    val reacted: Set<Reaction> get() = typed("reacted").orEmpty().split(' ').let { said -> Reaction.entries.filter { it.name in said }.toSet() }
    val saw get() = MarkKind.entries.firstOrNull { it.name == typed("saw") }
    val product get() = typed("product") ?: ""
    val products get() = lasts[Lasts.PRODUCT]

    /** What a look may have seen here; empty for other steps. */
    var kinds: List<Pair<MarkKind, String>> = emptyList()
        private set

    /** What speaks against it and was not set aside. */
    var against: List<RefusalView> = emptyList()
        private set

    /** Polishing of a test square has its own screen. */
    val isSquare get() = on == Area.TEST_SQUARE && (step == Step.POLISH || step == Step.COMPOUND)

    override fun look() {
        val (job, panel, on) = Triple(job, panel, on)
        val (step, language) = (step ?: return changed()) to desk.language
        desk.ask({ core ->
            val form = if (step == Step.LOOK) core.walk(job, Corner.FRONT_LEFT, null, null, language).form else null
            form to core.refused(job, panel, step, on, language).filter { !it.setAside }
        }) { (form, refused) ->
            kinds = form?.let { kindsOffered(it, panel) }.orEmpty().map { it to it.text(desk.language) }
            against = refused
            changed()
        }
    }

    fun which() = desk.go(Page(Names.WHICH_STEP))

    fun on(area: Area) {
        page.about[ON] = area.name
        desk.keep()
        look()
    }

    fun reacted(reaction: Reaction) {
        val now = if (reaction in reacted) reacted - reaction else reacted + reaction
        type("reacted", now.joinToString(" ") { it.name }.ifEmpty { null })
    }

    fun saw(kind: MarkKind) = type("saw", kind.name.takeIf { saw != kind })

    fun write(text: String) {
        page.typed["product"] = text
        desk.keep()
    }

    fun done() {
        val step = step ?: return which()
        if (against.isNotEmpty()) return desk.go(Page(Names.REFUSED, "job" to job, SurfacesScreen.AT to panel, STEP to step.name, ON to on.name))
        if (isSquare) return desk.replace(Page(Names.TRY_SQUARE, "job" to job, SurfacesScreen.AT to panel, STEP to step.name))
        val product = product.trim().ifEmpty { null }
        val done = RecordStep(panels = listOf(panel), step = step, on = on, reacted = Reaction.entries.filter { it in reacted }, saw = saw, product = product)
        desk.record(page, job, Act.RecordStep(done)) {
            product?.let { lasts.used(Lasts.PRODUCT, it) }
            desk.back()
        }
    }

    companion object {
        const val STEP = "step"
        const val ON = "on"
    }
}

/** Which step is meant. */
class WhichStepScreen(desk: Desk, page: Page) : ChoiceScreen(desk, page) {
    override val gloves = false
    override val questions: List<Question> get() {
        val all = listOf(Step.LOOK, Step.DRY) + workOffered()
        return listOf(Question(STEP, all.map { it.name to it.text(desk.language) }, desk.below(page)?.about?.get(StepScreen.STEP)))
    }

    override fun answer(question: String, answer: String) {
        desk.below(page)?.about?.set(StepScreen.STEP, answer)
        desk.back()
    }

    companion object {
        const val STEP = "which-step"
    }
}
