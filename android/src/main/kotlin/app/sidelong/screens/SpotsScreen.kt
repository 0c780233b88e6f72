package app.sidelong.screens

import sidelong.core.*

/** Missed spots: those on record, and the places where they are usually missed, in walking order. */
class SpotsScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val job get() = about("job")
    private val form = BodyForm.valueOf(about("form"))
    var spots: List<SpotView> = emptyList()
        private set
    val often = oftenMissed(form, desk.language)

    /** The place where the person stands. */
    val here get() = page.about["panel"]
    val hereName get() = here?.let { panelName(it, desk.language) }

    override fun look() {
        val (job, language) = job to desk.language
        desk.ask({ core -> core.light(job, language).spots }) { spots = it; changed() }
    }

    fun find(panel: String) = desk.go(Page(Names.FIND_SPOT, "job" to job, "form" to form.name, "panel" to panel))
    fun open(spot: SpotView) = desk.go(Page(Names.SPOT, "job" to job, "spot" to spot.id))
}

/** A missed spot that was found: where it is, under which light, what left it and when, then what it is, which saves. */
class FindSpotScreen(desk: Desk, page: Page) : Screen(desk, page) {
    private val form = BodyForm.valueOf(about("form"))
    private val ways = Ways(desk, page)
    val panel get() = typed(PANEL) ?: about("panel")
    val panelName get() = panelName(panel, desk.language)
    val drawing: DrawingView get() = Drawings.of(form, null, desk.language)
    val at: Spot? get() = typed(U)?.toUIntOrNull()?.let { u -> typed(V)?.toUIntOrNull()?.let { v -> Spot(u, v) } }
    val drawn: PointDrawn? get() = at?.let { drawnAt(form, null, panel, it) }
    val kinds get() = SpotKind.entries.map { it to it.text(desk.language) }
    val lights get() = Light.entries.map { it to it.text(desk.language) }
    val light get() = Light.entries.firstOrNull { it.name == (typed(LIGHT) ?: ways[HowScreen.LIGHT]) }
    val steps get() = stepsOffered().map { it to it.text(desk.language) }
    val step get() = Step.entries.firstOrNull { it.name == typed(STEP) }
    val ages get() = agesOffered()
    val age get() = ages.firstOrNull { it.ageS.toString() == typed(AGE) }

    /** True when it was said what it is before where it is, or under which light. */
    var missing = false
        private set

    override fun look() = changed()

    fun touched(x: Float, y: Float, reach: Float) {
        val point = PointDrawn(x, y)
        val hit = strokeOn(form, null, panel, reach, point, point, desk.language) ?: return
        isAt(hit.panel, hit.from)
    }

    fun chosen(panel: String) = isAt(panel, Spot(MIDDLE, MIDDLE))

    private fun isAt(panel: String, at: Spot) {
        missing = false
        page.typed[PANEL] = panel
        page.typed[U] = at.uPpm.toString()
        type(V, at.vPpm.toString())
    }

    fun light(light: Light) { missing = false; type(LIGHT, light.name) }
    fun step(step: Step) = type(STEP, if (this.step == step) null else step.name)
    fun age(age: AgeOffered) = type(AGE, if (this.age == age) null else age.ageS.toString())

    fun isKind(kind: SpotKind) {
        val (at, light) = at to light
        if (at == null || light == null) { missing = true; return changed() }
        val found = FindSpot(kind = kind, place = PanelSpot(panel, at), light = light, step = step, ageS = age?.ageS)
        desk.record(page, about("job"), Act.FindSpot(found)) { changes ->
            desk.replace(Page(Names.SPOT, "job" to about("job"), "spot" to changes.input))
        }
    }

    private companion object {
        const val PANEL = "panel"
        const val U = "u"
        const val V = "v"
        const val LIGHT = "light"
        const val STEP = "step"
        const val AGE = "age"
        val MIDDLE: UInt = 500_000u
    }
}

/** One missed spot: what its age allows, what was done, and whether it is seen again. */
class SpotScreen(desk: Desk, page: Page) : Screen(desk, page) {
    private val ways = Ways(desk, page)
    var spot: SpotView? = null
        private set
    val lights get() = Light.entries.map { it to it.text(desk.language) }
    val light get() = Light.entries.firstOrNull { it.name == (typed(LIGHT) ?: ways[HowScreen.LIGHT]) }
    val what get() = typed(WHAT) ?: ""

    /** True when it was said what was seen before under which light. */
    var missing = false
        private set

    override fun look() {
        val (job, id, language) = Triple(about("job"), about("spot"), desk.language)
        desk.ask({ core -> core.light(job, language).spots.firstOrNull { it.id == id } }) { spot = it; changed() }
    }

    fun write(text: String) {
        page.typed[WHAT] = text
        desk.keep()
    }

    /** What was done about it: as it was allowed, or in the person's own words. */
    fun treated(what: String) {
        if (what.isBlank()) return
        desk.record(page, about("job"), Act.TreatSpot(TreatSpot(about("spot"), what.trim()))) { look() }
    }

    fun light(light: Light) { missing = false; type(LIGHT, light.name) }

    fun seen(clear: Boolean) {
        val light = light
        if (light == null) { missing = true; return changed() }
        desk.record(page, about("job"), Act.CheckSpot(CheckSpot(about("spot"), light, clear))) { look() }
    }

    private companion object {
        const val LIGHT = "light"
        const val WHAT = "what"
    }
}
