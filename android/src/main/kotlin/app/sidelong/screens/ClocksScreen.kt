package app.sidelong.screens

import sidelong.core.*

/** Open sections with their clocks, what is due next on top, of one job or of all. What they say is the core's, which is asked anew while they are shown. */
class ClocksScreen(desk: Desk, page: Page) : Screen(desk, page) {
    /** The job whose sections are shown; those of all jobs without one. */
    val job get() = page.about["job"]
    var clocks: ClocksView? = null
        private set
    private var offers: Map<String, List<LayerOffered>> = emptyMap()
    private var asking = false
    private var failed = false
    val ringing get() = desk.ringing

    /** What was just recorded here. */
    val made get() = page.about[MADE]

    /** The job in which a section can be begun from here. */
    val beginsIn get() = job ?: clocks?.open?.map { it.job }?.distinct()?.singleOrNull()

    /** Sections that may be opened with the same touch. */
    fun next(clock: ClockView): List<LayerOffered> = offers[clock.layerId] ?: emptyList()

    override fun look() {
        failed = false
        told(emptyMap())
    }

    /** Asks how they stand now; one question at a time, and none after one that failed. */
    fun tick() { if (!asking && !failed) told(offers) }

    private fun told(known: Map<String, List<LayerOffered>>) {
        val (job, language) = job to desk.language
        asking = true
        desk.ask({ core ->
            val now = core.clocks(job, language)
            now to now.open.associate { it.layerId to (known[it.layerId] ?: core.sectionsOffered(it.job, it.layerId, language)) }
        }, { asking = false; failed = true }) { (now, next) ->
            asking = false
            clocks = now
            offers = next
            changed()
        }
    }

    /** A section was levelled; `then` is begun in the same moment, by the same touch. */
    fun level(clock: ClockView, then: LayerOffered? = null) =
        desk.record(page, clock.job, Act.LevelSection(LevelSection(begun = clock.layerId, then = then?.input))) { changes ->
            page.about[MADE] = changes.input
            page.about[OF] = clock.job
            desk.keep()
            look()
        }

    /** Takes back what was just recorded here. */
    fun takeBack() {
        val (entry, job) = (made ?: return) to (page.about[OF] ?: return)
        desk.record(page, job, Act.Undo(Undo(entry = entry))) { page.about.remove(MADE); desk.keep(); look() }
    }

    fun begin() { beginsIn?.let { desk.go(Page(Names.LAYER, "job" to it)) } }
    fun letRing() = desk.letRing()

    private companion object {
        const val MADE = "made"
        const val OF = "of"
    }
}
