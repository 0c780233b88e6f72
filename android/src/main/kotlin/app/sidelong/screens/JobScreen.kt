package app.sidelong.screens

import sidelong.core.*

/** One job: how it stands, and everything that can be done with it beside the walk. */
class JobScreen(desk: Desk, page: Page) : Screen(desk, page) {
    var view: JobView? = null
        private set
    var drawing: DrawingView? = null
        private set
    var now: WalkNow? = null
        private set
    var marks: List<MarkDrawn> = emptyList()
        private set

    val job get() = about("job")

    /** The stages in which a walk-around can be begun. */
    val stages get() = Stage.entries.map { it to it.text(desk.language) }

    /** The place at which the person stands in the walk that this was opened from. */
    val panel get() = desk.below(page)?.takeIf { it.name == Names.WALK }?.about?.get("at")
    val panelName get() = panel?.let { panelName(it, desk.language) }

    /** True when the visit was ended. */
    val ended get() = view?.closings?.isNotEmpty() == true

    override fun look() {
        val (job, language) = job to desk.language
        desk.ask({ core ->
            val view = core.job(job, language)
            val now = if (view.walks.isEmpty()) null else core.walk(job, Corner.FRONT_LEFT, null, null, language)
            val drawing = now?.let { Drawings.of(it.form, null, language) }
            val marks = now?.let { Drawings.marks(it.form, null, it.marks) } ?: emptyList()
            Shown(view, now, drawing, marks)
        }) { shown ->
            view = shown.view
            now = shown.now
            drawing = shown.drawing
            marks = shown.marks
            changed()
        }
    }

    private class Shown(val view: JobView, val now: WalkNow?, val drawing: DrawingView?, val marks: List<MarkDrawn>)

    /** On with the walk that goes on. */
    fun goOn() {
        if (desk.below(page)?.name == Names.WALK) desk.back() else desk.replace(Page(Names.WALK, "job" to job))
    }

    /** Begins a walk-around at a stage of the visit. */
    fun begin(stage: Stage) {
        val walk = Page(Names.WALK, "job" to job)
        walk.typed[WalkScreen.BEGIN] = stage.name
        desk.backTo(Names.JOBS)
        desk.go(walk)
    }

    fun feel() = panel?.let { desk.go(Page(Names.FEEL, "job" to job, "panel" to it)) }
    fun thickness() = panel?.let { desk.go(Page(Names.THICKNESS, "job" to job, "panel" to it)) }
    fun photoOfPlace() = panel?.let { desk.go(Page(Names.PHOTO, "job" to job, "panel" to it)) }
    fun photoOfCar() = desk.go(Page(Names.PHOTO, "job" to job))

    /** What comes next on the surfaces, opened where the person stands. */
    fun surfaces() = desk.go(Page(Names.SURFACES, "job" to job).also { page -> panel?.let { page.about[SurfacesScreen.AT] = it } })
    fun owner() = desk.go(Page(Names.OWNER, "job" to job))
    fun report() = desk.go(Page(Names.REPORT, "job" to job))

    /** Nobody looked at this place, and somebody says so. */
    fun notLooked() {
        val panel = panel ?: return
        desk.record(page, job, Act.RecordOutcome(RecordOutcome(panel = panel, outcome = Outcome.NOT_LOOKED))) { desk.back() }
    }

    /** Ends the visit. */
    fun end() = desk.record(page, job, Act.CloseJob(CloseJob())) { look() }
}
