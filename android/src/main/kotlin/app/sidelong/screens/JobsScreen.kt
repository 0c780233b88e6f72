package app.sidelong.screens

import sidelong.core.*

/** The jobs of today, or those that a search finds; a new one is one touch away. */
class JobsScreen(desk: Desk, page: Page) : Screen(desk, page) {
    var jobs: List<JobLine> = emptyList()
        private set
    var today: DayList? = null
        private set

    /** Sections that are open now, of all jobs. */
    var openSections = 0
        private set

    /** False while the lists are being built again: older jobs may be missing in what is shown. */
    var complete = true
        private set

    val search get() = page.about[SEARCH] ?: ""
    val all get() = page.about[ALL] != null

    override fun look() {
        val (search, all, language) = Triple(search, all, desk.language)
        desk.ask({ core ->
            val today = core.today(language)
            val found = if (search.isNotBlank() || all) core.jobs(search.ifBlank { null }, MOST, language) else null
            Triple(today, found, core.openSections().toInt())
        }) { (today, found, open) ->
            if (search != this.search || all != this.all) return@ask // Typed on in the meantime.
            this.today = today
            openSections = open
            jobs = found?.jobs ?: today.jobs.reversed()
            complete = found?.complete ?: true
            changed()
        }
    }

    fun find(text: String) {
        page.about[SEARCH] = text
        desk.keep()
        look()
    }

    /** Every job, or today's again. */
    fun showAll(yes: Boolean) {
        if (yes) page.about[ALL] = ALL else page.about.remove(ALL)
        desk.keep()
        look()
    }

    /** Opens a job. One of today is open at once; an older one is other people's history. */
    fun open(job: JobLine) {
        val go = { desk.go(Page(Names.JOB, "job" to job.job)) }
        if (today?.jobs?.any { it.job == job.job } == true) go() else desk.unlocked(go)
    }

    fun newJob() = desk.go(Page(Names.NEW_JOB))
    fun clocks() = desk.go(Page(Names.CLOCKS))
    fun join() = desk.go(Page(Names.JOIN))
    fun phone() = desk.go(Page(Names.PHONE))

    private companion object {
        const val SEARCH = "search"
        const val ALL = "all"
        const val MOST = 5_000u
    }
}
