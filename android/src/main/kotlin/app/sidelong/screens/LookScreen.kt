package app.sidelong.screens

import sidelong.core.*

/**
 * A look under a light in two touches: where the person stands, on the ground round the vehicle, and where the light's image is,
 * on the panel. The second touch records it; what the core makes of it is told at once.
 */
class LookScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val job get() = about("job")
    val form = BodyForm.valueOf(about("form"))
    val panel get() = about("panel")
    val panelName get() = panelName(panel, desk.language)
    val side: WholeSide? = page.about["side"]?.let(WholeSide::valueOf)
    val ways = Ways(desk, page)
    val ground: DrawingView get() = Drawings.ground(form, desk.language)
    val drawing: DrawingView get() = Drawings.of(form, side, desk.language)

    /** What has been looked at so far, and the look that was just made. */
    var now: LookedNow? = null
        private set
    val made: LookView? get() = page.about[MADE]?.let { id -> now?.looks?.firstOrNull { it.id == id } }

    /** What is asked for. */
    enum class Ask { HOW, STAND, IMAGE, SWEEP }

    val ask: Ask get() = when {
        ways.light == null -> Ask.HOW
        desk.following -> Ask.SWEEP
        stand == null -> Ask.STAND
        else -> Ask.IMAGE
    }

    /** Whether the light has an image to touch; without one the touch says what is looked at. */
    val hasImage get() = ways.light?.let(::lightHasImage) == true

    /** Whether the phone can follow its own lamp under this light. */
    val canSweep get() = ways.light == Light.POINT && desk.turns
    val stand: Ground? get() = typed(X)?.toIntOrNull()?.let { x -> typed(Y)?.toIntOrNull()?.let { y -> Ground(x, y) } }
    val standText get() = stand?.let { standText(form, it, desk.language) }

    /** True when a touch was where nobody can stand. */
    var inVehicle = false
        private set

    /** True while the sun's place on earth is not said and not on record. */
    val placeMissing get() = ways.light == Light.SUN && ways.earth == null && now?.earth == null

    override fun look() {
        val (job, side, language) = Triple(job, side, desk.language)
        desk.ask({ core -> core.lookedNow(job, side, language) }) { now = it; changed() }
    }

    /** A touch on the drawing that is shown, in its units. */
    fun touched(x: Float, y: Float, reach: Float) {
        val at = PointDrawn(x, y)
        if (ask == Ask.STAND) return stands(standAt(form, at, desk.language))
        val hit = strokeOn(form, side, panel, reach, at, at, desk.language) ?: return
        imaged(hit.panel, hit.from)
    }

    /** A place that a screen reader chose: to stand beside it, or the image in its middle. */
    fun chosen(panel: String) =
        if (ask == Ask.STAND) stands(standNamed(form, panel, desk.language)) else imaged(panel, Spot(MIDDLE, MIDDLE))

    private fun stands(at: StandTouched?) {
        inVehicle = at == null
        if (at == null) return changed()
        page.about.remove(MADE)
        page.typed[X] = at.at.xMm.toString()
        type(Y, at.at.yMm.toString())
    }

    fun standElsewhere() {
        page.typed.remove(Y)
        type(X, null)
    }

    private fun imaged(panel: String, at: Spot) {
        if (ways.swept && canSweep) {
            page.typed[PANEL] = panel
            page.typed[U] = at.uPpm.toString()
            page.typed[V] = at.vPpm.toString()
            desk.follow()
            if (desk.following) return type(PANEL, panel)
        }
        record(ways.light ?: return, stand ?: return, panel, if (hasImage) PanelSpot(panel, at) else null, emptyList())
    }

    /** The lamp was swept over the panel. */
    fun sweptOver() {
        val turned = desk.followed()
        val (panel, u, v) = Triple(typed(PANEL), typed(U)?.toUIntOrNull(), typed(V)?.toUIntOrNull())
        if (panel == null || u == null || v == null) return changed()
        record(ways.light ?: return, stand ?: return, panel, PanelSpot(panel, Spot(u, v)), swept(turned))
    }

    /** In the shade it is one touch: soft light, from where one stands or else from beside the place. */
    fun shadedHere() {
        val at = stand ?: standNamed(form, panel, desk.language)?.at ?: return
        record(Light.SOFT, at, panel, null, emptyList())
    }

    private fun record(light: Light, at: Ground, panel: String, image: PanelSpot?, sweep: List<SweepPoint>) {
        val all = if (ways.wholeSide) about("panels").split(' ') else emptyList()
        val look = RecordLook(
            light = light, stand = at, way = ways.way, panels = (listOf(panel) + all).distinct(), image = image, sweep = sweep,
            earth = if (light == Light.SUN) ways.earth ?: now?.earth else null,
            surface = ways.surface, ambient = ways.ambient, distance = ways.distance, spentMs = ways.spent?.spentMs,
        )
        desk.record(page, job, Act.RecordLook(look)) { changes ->
            page.about[MADE] = changes.input
            desk.keep()
            look()
        }
    }

    fun wholeSide() { ways.wholeSide = !ways.wholeSide; changed() }
    fun sweeps() { ways.swept = !ways.swept; changed() }

    /** Takes back the look that was just made. */
    fun takeBack() {
        val entry = page.about[MADE] ?: return
        desk.record(page, job, Act.Undo(Undo(entry = entry))) { page.about.remove(MADE); desk.keep(); look() }
    }

    fun sayHow() = desk.go(Page(Names.LOOK_HOW))
    fun seen() = desk.go(Page(Names.SEEN, page.about.toMutableMap()))
    fun sun() = desk.go(Page(Names.SUN, "job" to job))
    fun spots() = desk.go(Page(Names.SPOTS, page.about.toMutableMap()))

    companion object {
        /** Under this name `about` holds the look that was just made. */
        const val MADE = "look"
        private const val X = "x"
        private const val Y = "y"
        private const val PANEL = "image"
        private const val U = "u"
        private const val V = "v"
        private val MIDDLE: UInt = 500_000u
    }
}
