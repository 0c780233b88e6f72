package app.sidelong.screens

import sidelong.core.*

/** Cloths, mitts and pads: one is taken for a place, after what speaks against it was read; one that fell is put out of use. */
class ClothsScreen(desk: Desk, page: Page) : Screen(desk, page) {
    private val job get() = about("job")
    private val panel get() = about(SurfacesScreen.AT)
    val panelName get() = panelName(panel, desk.language)
    var cloths: List<ClothView> = emptyList()
        private set
    private var crew: List<Zone> = emptyList()

    /** What speaks against taking what is chosen, in the crew's own names. */
    var warnings: List<String> = emptyList()
        private set

    val step get() = Step.entries.firstOrNull { it.name == page.about[StepScreen.STEP] } ?: Step.DRY
    val stepText get() = step.text(desk.language)
    val tools get() = Tool.entries.map { it to it.text(desk.language) }
    val tool get() = Tool.entries.firstOrNull { it.name == typed(TOOL) } ?: Tool.CLOTH

    /** The zones by the crew's own names, cleanest first; a pad belongs to none. */
    val zones: List<Pair<ZoneUse, String>> get() = when {
        tool == Tool.PAD -> emptyList()
        crew.isEmpty() -> ZoneUse.entries.map { it to it.text(desk.language) }
        else -> crew.mapNotNull { zone -> zone.uses.firstOrNull()?.let { it to zone.name } }
    }
    val zone get() = ZoneUse.entries.firstOrNull { it.name == typed(ZONE) }

    /** One that was taken before, if one is chosen. */
    val chosen get() = cloths.firstOrNull { it.id == typed(CLOTH) }

    /** How a new one is called if nobody says otherwise. */
    val name: String get() = typed(NAME)?.trim()?.ifEmpty { null } ?: "${tool.text(desk.language)} ${cloths.count { it.tool == tool } + 1}"

    /** True while it is said which one: one from before, or what a new one is. */
    val ready get() = chosen != null || zone != null || tool == Tool.PAD && typed(TOOL) != null

    fun outText(cloth: ClothView) = cloth.out?.text(desk.language)
    fun lastName(cloth: ClothView) = panelName(cloth.panel, desk.language)

    override fun look() {
        val (job, language) = job to desk.language
        desk.ask({ core -> core.treated(job, language).cloths to core.shop().zones }) { (all, zones) ->
            cloths = all
            crew = zones
            warn()
        }
    }

    private val take get() = chosen?.let { TakeCloth(cloth = it.id, panel = panel, step = step) }
        ?: TakeCloth(tool = tool, zone = zone.takeIf { tool != Tool.PAD }, name = name, panel = panel, step = step)

    /** Asks what speaks against what is chosen, before it is taken. */
    private fun warn() {
        warnings = emptyList()
        if (!ready) return changed()
        val (job, take) = job to take
        desk.ask({ core -> core.clothWarnings(job, take) }) { warnings = it; changed() }
    }

    fun choose(cloth: ClothView) {
        page.typed.remove(ZONE)
        page.typed.remove(TOOL)
        type(CLOTH, cloth.id.takeIf { it != typed(CLOTH) })
        warn()
    }

    fun tool(tool: Tool) {
        page.typed.remove(CLOTH)
        page.typed.remove(ZONE)
        type(TOOL, tool.name)
        warn()
    }

    fun zone(zone: ZoneUse) {
        page.typed.remove(CLOTH)
        type(ZONE, zone.name)
        warn()
    }

    fun write(name: String) {
        page.typed[NAME] = name
        desk.keep()
    }

    fun whichStep() = desk.go(Page(Names.WHICH_STEP))
    fun whichPlace() = desk.go(Page(Names.WHICH_SURFACE, "job" to job))
    fun take() { if (ready) desk.record(page, job, Act.TakeCloth(take)) { desk.back() } }

    /** Out of use: the one that is chosen, or else the one taken last. */
    fun out(why: ClothOut) {
        val none = cloths.none { it.out == null || it.out == ClothOut.COATING }
        val out = PutOut(cloth = chosen?.id, why = why, panel = panel.takeIf { none && chosen == null })
        desk.record(page, job, Act.PutOut(out)) { desk.back() }
    }

    private companion object {
        const val CLOTH = "cloth"
        const val TOOL = "tool"
        const val ZONE = "zone"
        const val NAME = "name"
    }
}
