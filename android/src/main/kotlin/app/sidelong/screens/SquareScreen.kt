package app.sidelong.screens

import sidelong.core.*

/** A test square of polishing: step, machine, pad, polish and passes; what was used last is offered. */
class TrySquareScreen(desk: Desk, page: Page) : Screen(desk, page) {
    private val job get() = about("job")
    val panel get() = about(SurfacesScreen.AT)
    val panelName get() = panelName(panel, desk.language)
    private val lasts = Lasts(desk.settings)
    private var next: Step? = null
    val steps get() = listOf(Step.POLISH, Step.COMPOUND).map { it to it.text(desk.language) }

    /** What was chosen, or else what comes next by the record. */
    val step: Step get() = Step.entries.firstOrNull { it.name == page.about[StepScreen.STEP] } ?: next ?: Step.POLISH
    val passes get() = typed("passes")?.toUIntOrNull()
    val offered get() = 1u..6u
    fun lasts(name: String) = lasts[name]
    fun text(name: String) = typed(name) ?: ""

    /** What speaks against it and was not set aside. */
    var against: List<RefusalView> = emptyList()
        private set

    /** True when it was to be saved without all that is needed. */
    var missing = false
        private set

    override fun look() {
        val (job, panel, language) = Triple(job, panel, desk.language)
        val chosen = page.about[StepScreen.STEP]?.let { name -> Step.entries.firstOrNull { it.name == name } }
        desk.ask({ core ->
            val polish = core.treated(job, language).panels.firstOrNull { it.panel == panel }?.polish?.step
            polish to core.refused(job, panel, chosen ?: polish ?: Step.POLISH, Area.TEST_SQUARE, language).filter { !it.setAside }
        }) { (polish, refused) ->
            next = polish
            against = refused
            changed()
        }
    }

    fun step(step: Step) {
        page.about[StepScreen.STEP] = step.name
        desk.keep()
        look()
    }

    fun passes(count: UInt) { missing = false; type("passes", count.toString()) }

    fun write(name: String, text: String) {
        page.typed[name] = text
        desk.keep()
    }

    fun photo() = desk.go(Page(Names.PHOTO, "job" to job, "panel" to panel))
    fun stop() = desk.go(Page(Names.REFUSED, "job" to job, SurfacesScreen.AT to panel, StepScreen.STEP to step.name, StepScreen.ON to Area.TEST_SQUARE.name))

    fun save() {
        if (against.isNotEmpty()) return stop()
        val used = TOOLS.associateWith { text(it).trim() }
        val passes = passes
        missing = passes == null || used.values.any { it.isEmpty() }
        if (passes == null || missing) return changed()
        val square = TrySquare(panel = panel, step = step, machine = used.getValue(Lasts.MACHINE), pad = used.getValue(Lasts.PAD), polish = used.getValue(Lasts.POLISH), passes = passes)
        desk.record(page, job, Act.TrySquare(square)) { changes ->
            used.forEach { (name, text) -> lasts.used(name, text) }
            desk.replace(Page(Names.SQUARE, "job" to job, SurfacesScreen.AT to panel, SquareScreen.SQUARE to changes.input))
        }
    }

    companion object {
        val TOOLS = listOf(Lasts.MACHINE, Lasts.PAD, Lasts.POLISH)
    }
}

/** What came of a test square, in parts: each is saved by one touch, in any order. */
class SquareScreen(desk: Desk, page: Page) : Screen(desk, page) {
    private val job get() = about("job")
    val panel get() = about(SurfacesScreen.AT)
    val panelName get() = panelName(panel, desk.language)

    /** The square: the one the page was opened for, or else the panel's newest. */
    var square: SquareView? = null
        private set

    /** The two photos, small, as files: the one before, the one after. */
    var pictures: List<ByteArray?> = listOf(null, null)
        private set
    val answers get() = OwnerAnswer.entries.map { it to it.text(desk.language) }
    val parties get() = SPEAK_FOR_THE_OWNER.map { it to it.text(desk.language) }
    val by get() = SPEAK_FOR_THE_OWNER.firstOrNull { it.name == typed("by") } ?: SPEAK_FOR_THE_OWNER.first()

    override fun look() {
        val (job, panel, language) = Triple(job, panel, desk.language)
        val id = page.about[SQUARE]
        desk.ask({ core ->
            val all = core.squares(job, panel, language)
            val square = all.firstOrNull { it.id == id } ?: all.lastOrNull()
            // A photo that is gone is not shown; the square is all the same.
            square to listOf(square?.before, square?.after).map { photo -> photo?.let { runCatching { core.picture(it.sha256, LONGEST) }.getOrNull() } }
        }) { (square, pictures) ->
            this.square = square
            this.pictures = pictures
            changed()
        }
    }

    fun photo() = desk.go(Page(Names.PHOTO, "job" to job, "panel" to panel))
    fun lowest() = square?.let { desk.go(Page(Names.LOWEST, "job" to job, SurfacesScreen.AT to panel, SQUARE to it.id)) }
    fun another() = desk.replace(Page(Names.TRY_SQUARE, "job" to job, SurfacesScreen.AT to panel))
    fun by(party: Party) = type("by", party.name)

    fun pair() {
        val square = square ?: return
        judge(JudgeSquare(square = square.id, before = square.before?.id ?: return, after = square.after?.id ?: return))
    }

    fun enough(yes: Boolean) = square?.let { judge(JudgeSquare(square = it.id, enough = yes)) }
    fun answered(answer: OwnerAnswer) = square?.let { judge(JudgeSquare(square = it.id, answer = answer, by = by)) }
    private fun judge(judged: JudgeSquare) = desk.record(page, job, Act.JudgeSquare(judged)) { look() }

    companion object {
        const val SQUARE = "square"
        private val LONGEST: UInt = 480u
    }
}

/** The lowest reading on a test square, by a keypad. */
class LowestScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val panelName get() = panelName(about(SurfacesScreen.AT), desk.language)
    val digits get() = typed("digits") ?: ""
    override fun look() = changed()

    fun digit(digit: Char) { if (digits.length < LONGEST) type("digits", digits + digit) }
    fun rub() = type("digits", digits.dropLast(1).ifEmpty { null })

    fun save() {
        val um = digits.toUIntOrNull() ?: return
        desk.record(page, about("job"), Act.JudgeSquare(JudgeSquare(square = about(SquareScreen.SQUARE), lowestUm = um))) { desk.back() }
    }

    private companion object {
        /** Digits of the longest reading that the core takes. */
        const val LONGEST = 5
    }
}
