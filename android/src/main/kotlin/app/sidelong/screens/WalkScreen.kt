package app.sidelong.screens

import sidelong.core.*

/**
 * The walk: where the person stands, what is on record of that place, and what comes next. One touch says that nothing
 * was seen; a stroke on the place begins a mark; a touch on another place goes there.
 */
class WalkScreen(desk: Desk, page: Page) : Screen(desk, page) {
    var now: WalkNow? = null
        private set
    var drawing: DrawingView? = null
        private set
    var marks: List<MarkDrawn> = emptyList()
        private set

    /** What can still be taken back, and what it was. */
    var slip: Slip?
        get() = page.about["made"]?.let { Slip(it, Said.valueOf(page.about["said"] ?: Said.MARK.name), page.about["number"]) }
        private set(value) {
            PASSING.forEach(page.about::remove)
            if (value != null) {
                page.about["made"] = value.input
                page.about["said"] = value.said.name
                value.mark?.let { page.about["number"] = it }
            }
            desk.keep()
        }

    /** An entry just made. */
    class Slip(val input: String, val said: Said, val mark: String?)

    /** What was just put on record. */
    enum class Said { NOTHING_SEEN, PASSED, SEEN_AGAIN, MARK, COULD_NOT_SEE }

    val job get() = about("job")

    /** Where the person stands. */
    val place: PlaceNow? get() = now?.let { now -> now.places.firstOrNull { it.panel == now.at } }

    /** Marks known from before on this place, to be seen again by one touch. */
    val known: List<MarkNow> get() = now?.let { now -> now.known.filter { it.panel == now.at } } ?: emptyList()

    /** How it is being looked at, to read; null when nothing is said of it. */
    val how: List<String> get() = listOfNotNull(
        distance?.text(desk.language), light?.text(desk.language), surface?.text(desk.language),
    )
    val distance get() = Distance.entries.firstOrNull { it.name == page.about["distance"] }
    val light get() = Light.entries.firstOrNull { it.name == page.about["light"] }
    val surface get() = Surface.entries.firstOrNull { it.name == page.about["surface"] }

    override fun look() {
        val stage = page.typed[BEGIN]
        if (stage != null) return begin(Stage.valueOf(stage))
        see(page.about["at"])
    }

    private fun see(at: String?) {
        val (job, corner) = job to desk.settings.corner
        val (earlier, language) = page.about["earlier"] to desk.language
        desk.ask({ core ->
            val now = core.walk(job, corner, at, earlier, language)
            val side = now.places.firstOrNull { it.panel == now.at }?.drawn
            val drawing = Drawings.of(now.form, side, language)
            val beside = now.places.filter { it.drawn == side }.map { it.panel }.toSet()
            Triple(now, drawing, Drawings.marks(now.form, side, now.marks.filter { it.panel in beside }))
        }) { (now, drawing, marks) ->
            this.now = now
            this.drawing = drawing
            this.marks = marks
            now.at?.let { page.about["at"] = it }
            desk.keep()
            changed()
        }
    }

    private fun saved(said: Said, mark: String? = null): (Changes) -> Unit = { changes ->
        slip = Slip(changes.input, said, mark ?: changes.mark)
    }

    /** Nothing was seen on this place: one touch, and on to the next. */
    fun nothingSeen() {
        val panel = now?.at ?: return
        val next = now?.next
        desk.record(page, job, Act.RecordOutcome(RecordOutcome(
            panel = panel, outcome = Outcome.NOTHING_SEEN, distance = distance, light = light, surface = surface,
        ))) { saved(Said.NOTHING_SEEN)(it); goOn(next) }
    }

    /** This place could not be seen: why is asked for. */
    fun couldNotSee() {
        val panel = now?.at ?: return
        desk.go(Page(Names.COULD_NOT_SEE, "job" to job, "panel" to panel, "next" to (now?.next ?: panel)))
    }

    /** The whole side of this place in passing. */
    fun passSide() {
        val side = place?.side ?: return
        desk.record(page, job, Act.PassSide(PassSide(side = side, light = light, surface = surface))) {
            saved(Said.PASSED)(it)
            desk.ask({ core -> core.walk(job, desk.settings.corner, page.about["at"], page.about["earlier"], desk.language).next }) { goOn(it) }
        }
    }

    /** A known mark is there, with nothing new. */
    fun seenAgain(mark: MarkNow) {
        val elsewhere = mark.job.takeIf { it != job }
        desk.record(page, job, Act.SeeAgain(SeeAgain(mark = mark.id, job = elsewhere))) { saved(Said.SEEN_AGAIN)(it); look() }
    }

    /** A stroke on the drawing, in its units. */
    fun stroke(fromX: Float, fromY: Float, toX: Float, toY: Float, reach: Float) {
        val now = now ?: return
        val side = place?.drawn
        val language = desk.language
        desk.ask({ strokeOn(now.form, side, now.at, reach, PointDrawn(fromX, fromY), PointDrawn(toX, toY), language) }) { hit ->
            if (hit == null) return@ask
            if (!hit.here) goOn(hit.panel) else begin(hit.panel, hit.from, hit.to)
        }
    }

    /** A place chosen by name: goes there; the one where the person stands begins a mark in its middle. */
    fun choose(panel: String) {
        if (panel == now?.at) begin(panel, Spot(MIDDLE, MIDDLE), null) else goOn(panel)
    }

    /** Begins the walk-around that this page was opened for; once, because its id is kept with it. */
    private fun begin(stage: Stage) = desk.record(page, job, Act.BeginWalk(BeginWalk(stage))) { look() }

    private fun begin(panel: String, from: Spot, to: Spot?) {
        slip = null
        val form = now?.form ?: return
        val about = mutableMapOf("job" to job, "form" to form.name, "panel" to panel, "u" to from.uPpm.toString(), "v" to from.vPpm.toString())
        if (to != null) { about["to-u"] = to.uPpm.toString(); about["to-v"] = to.vPpm.toString() }
        desk.go(Page(Names.MARK, about))
    }

    /** On to a place: the next one, or one that was pointed at. Nothing is recorded by going. */
    fun goOn(panel: String? = now?.next) {
        if (panel != null) page.about["at"] = panel
        desk.keep()
        see(panel ?: page.about["at"])
    }

    /** Takes back what was just recorded. */
    fun takeBack() {
        val entry = slip?.input ?: return
        desk.record(page, job, Act.Undo(Undo(entry = entry))) { slip = null; look() }
    }

    /** The time for taking back is over. */
    fun tooLate() { slip = null; changed() }

    /** A look under a light, at the place where the person stands, or at the first one outside. */
    fun lookUnderLight() {
        val now = now ?: return
        val at = now.places.firstOrNull { it.panel == now.at && it.drawn != null } ?: now.places.firstOrNull { it.drawn != null } ?: return
        val beside = now.places.filter { it.drawn == at.drawn }.joinToString(" ") { it.panel }
        val about = mutableMapOf("job" to job, "form" to now.form.name, "panel" to at.panel, "panels" to beside)
        at.drawn?.let { about["side"] = it.name }
        desk.go(Page(Names.LOOK, about))
    }

    fun sayHow() = desk.go(Page(Names.HOW, "job" to job))
    fun places() = desk.go(Page(Names.PLACES, "job" to job))
    fun more() = desk.go(Page(Names.JOB, "job" to job))
    fun addToMark() = slip?.let { desk.go(Page(Names.PHOTO, "job" to job, "mark" to it.input)) }

    companion object {
        /** Under this name `typed` holds the stage of a walk-around that is to be begun. */
        const val BEGIN = "begin"

        /** Names in `about` of what was just recorded, here or on a page of its own: gone once it is too late to take it back. */
        val PASSING = setOf("made", "said", "number")

        /** Leaves word on the walk's page of what was recorded for it on a page of its own. */
        fun made(walk: Page?, changes: Changes, said: Said) {
            val about = walk?.about ?: return
            PASSING.forEach(about::remove)
            about["made"] = changes.input
            about["said"] = said.name
            changes.mark?.let { about["number"] = it }
        }

        private val MIDDLE: UInt = 500_000u
    }
}
