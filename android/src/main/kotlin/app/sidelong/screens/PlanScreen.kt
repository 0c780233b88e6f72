package app.sidelong.screens

import sidelong.core.PlanView

/** The agreed work that still waits, in order, as the core makes it from the record. */
class PlanScreen(desk: Desk, page: Page) : Screen(desk, page) {
    var plan: PlanView? = null
        private set

    override fun look() {
        val (job, language) = about("job") to desk.language
        desk.ask({ core -> core.plan(job, language) }) { plan = it; changed() }
    }

    fun work() = desk.go(Page(Names.WORK, "job" to about("job")))
}
