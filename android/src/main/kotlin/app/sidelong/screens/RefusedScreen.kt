package app.sidelong.screens

import sidelong.core.*

/**
 * A step that is refused: why, large. Going on anyway is a second thought: it is asked for first, then a reason is typed or
 * chosen, then whose consent it is, which saves. What could hurt people has no such way.
 */
class RefusedScreen(desk: Desk, page: Page) : Screen(desk, page) {
    private val job get() = about("job")
    private val panel get() = about(SurfacesScreen.AT)
    private val step get() = Step.valueOf(about(StepScreen.STEP))
    private val on get() = Area.entries.firstOrNull { it.name == page.about[StepScreen.ON] } ?: Area.PANEL
    private val lasts = Lasts(desk.settings)

    /** What speaks against it and was not set aside; none before it was asked. */
    var against: List<RefusalView>? = null
        private set
    val what get() = step.text(desk.language)
    val panelName get() = panelName(panel, desk.language)
    val areaText get() = on.text(desk.language)
    val mayOverride get() = against.orEmpty().all { it.mayOverride }

    /** True after it was asked for. */
    val goesOn get() = typed("goes-on") != null
    val reason get() = typed("reason") ?: ""
    val reasons get() = lasts[Lasts.REASON]
    val parties get() = SPEAK_FOR_THE_OWNER.map { it to it.text(desk.language) }

    /** True when it was said who consents before a reason. */
    var missing = false
        private set

    override fun look() {
        val (job, panel) = job to panel
        val (step, on, language) = Triple(step, on, desk.language)
        desk.ask({ core -> core.refused(job, panel, step, on, language).filter { !it.setAside } }) { against = it; changed() }
    }

    fun goOn() = type("goes-on", "yes")

    fun write(text: String) {
        page.typed["reason"] = text
        desk.keep()
    }

    /** This person consents: on record with the reason. */
    fun consents(by: Party) {
        val reason = reason.trim()
        missing = reason.isEmpty()
        if (missing) return changed()
        val aside = SetAside(panel = panel, step = step, on = on, reason = reason, answer = OwnerAnswer.AGREED, by = by)
        desk.record(page, job, Act.SetAside(aside)) {
            lasts.used(Lasts.REASON, reason)
            desk.back()
        }
    }
}
