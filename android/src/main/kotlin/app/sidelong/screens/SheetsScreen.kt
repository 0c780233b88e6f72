package app.sidelong.screens

import sidelong.core.*

/** Product sheets and lots of a job, and where more come from: other jobs of this phone, the user's own typing, the starter set. */
class SheetsScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val job get() = about("job")
    var work: WorkView? = null
        private set

    /** The user's own, known from other jobs and not yet in this one. */
    var known: List<SheetKnown> = emptyList()
        private set
    val kinds: List<Pair<Step, String>> = sheetsOffered().map { it to it.text(desk.language) }

    override fun look() {
        val (job, language) = job to desk.language
        desk.ask({ core -> core.work(job, language) to core.sheets(language) }) { (work, sheets) ->
            this.work = work
            known = sheets
            changed()
        }
    }

    /** Puts a sheet that is known from another job on record in this one. */
    fun take(known: SheetKnown) = record(known.input)

    /** Puts the starter set's sheet of a kind on record. */
    fun starter(kind: Step) = record(RecordSheet(kind = kind, starter = true, says = SheetSays()))

    private fun record(sheet: RecordSheet) = desk.record(page, job, Act.RecordSheet(sheet)) { changes -> chosen(changes.input) }

    /** Whoever came to choose a product goes on with it. */
    private fun chosen(sheet: String) {
        val below = desk.below(page)?.takeIf { it.name == Names.LAYER } ?: return look()
        below.typed[LayerScreen.SHEET] = sheet
        desk.back()
    }

    fun own() = desk.go(Page(Names.SHEET, "job" to job))

    /** The next version of one of the user's own. */
    fun edit(known: SheetKnown) = desk.go(Page(Names.SHEET, "job" to job, SheetScreen.OF to known.product))
    fun lot(sheet: SheetView) = desk.go(Page(Names.LOT, "job" to job, "sheet" to sheet.id, "product" to sheet.product))

    /** Which cars had a lot: other people's history. */
    fun uses(lot: LotView) = desk.unlocked { desk.go(Page(Names.LOTS, "lot" to lot.lot)) }
}

/** A sheet of the user's own: its name and the few numbers that it states. What is left out is filled from the starter set, and named so. */
class SheetScreen(desk: Desk, page: Page) : Screen(desk, page) {
    /** The numbers of a sheet, as they are typed. */
    enum class Figure { DWELL, NEXT_LAYER, TOUCH, RAIN, WASH, CHEMICALS, FULL, AIR, PANEL, HUMIDITY }

    /** The sheet of which it will be the next version. */
    private var base: RecordSheet? = null

    /** True once what it begins from is known. */
    var ready = page.about[OF] == null
        private set
    val kinds: List<Pair<Step, String>> = sheetsOffered().map { it to it.text(desk.language) }
    val kind: Step? get() = base?.kind ?: Step.entries.firstOrNull { it.name == typed(KIND) }
    val fixed get() = base != null
    val name get() = base?.name ?: typed(NAME) ?: ""

    /** What cannot be read. */
    var wrong: Set<Figure> = emptySet()
        private set

    /** True when it was to be saved without a kind or a name. */
    var missing = false
        private set

    fun figure(figure: Figure): String = typed(figure.name) ?: base?.says?.let { text(it, figure) } ?: ""

    private fun text(says: SheetSays, figure: Figure): String? = when (figure) {
        Figure.DWELL -> says.dwell?.let(::spanText)
        Figure.NEXT_LAYER -> says.nextLayer?.let(::spanText)
        Figure.TOUCH -> says.waits?.touch?.let(::spanText)
        Figure.RAIN -> says.waits?.rain?.let(::spanText)
        Figure.WASH -> says.waits?.wash?.let(::spanText)
        Figure.CHEMICALS -> says.waits?.chemicals?.let(::spanText)
        Figure.FULL -> says.waits?.full?.let(::spanText)
        Figure.AIR -> says.air?.let(::temperaturesText)
        Figure.PANEL -> says.panel?.let(::temperaturesText)
        Figure.HUMIDITY -> says.humidity?.let(::humiditiesText)
    }

    override fun look() {
        val of = page.about[OF] ?: return changed()
        val language = desk.language
        desk.ask({ core -> core.sheets(language).firstOrNull { it.product == of }?.input }) { base = it; ready = true; changed() }
    }

    fun kind(kind: Step) { missing = false; type(KIND, kind.name) }
    fun name(text: String) { page.typed[NAME] = text; desk.keep() }
    fun write(figure: Figure, text: String) { page.typed[figure.name] = text; desk.keep() }

    fun save() {
        val kind = kind
        val name = name.trim()
        fun span(figure: Figure) = spanTyped(figure(figure))
        val waits = Waits(span(Figure.TOUCH), span(Figure.RAIN), span(Figure.WASH), span(Figure.CHEMICALS), span(Figure.FULL))
        val says = (base?.says ?: SheetSays()).copy(
            dwell = span(Figure.DWELL), nextLayer = span(Figure.NEXT_LAYER), waits = waits.takeIf { it != Waits() },
            air = temperaturesTyped(figure(Figure.AIR)), panel = temperaturesTyped(figure(Figure.PANEL)), humidity = humiditiesTyped(figure(Figure.HUMIDITY)),
        )
        wrong = Figure.entries.filter { figure(it).isNotBlank() && text(says, it) == null }.toSet()
        missing = kind == null || name.isEmpty()
        if (kind == null || missing || wrong.isNotEmpty()) return changed()
        val sheet = (base ?: RecordSheet(kind = kind, says = says)).copy(name = name, version = null, says = says)
        desk.record(page, about("job"), Act.RecordSheet(sheet)) { desk.back() }
    }

    companion object {
        /** Under this name `about` holds the product of which the next version is made. */
        const val OF = "of"
        private const val KIND = "kind"
        private const val NAME = "name"
    }
}

/** A lot that is opened: as it is printed, and when. */
class LotScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val product get() = about("product")
    val lot get() = typed(LOT) ?: ""
    val opened get() = typed(OPENED) ?: ""

    override fun look() = changed()
    fun lot(text: String) { page.typed[LOT] = text; desk.keep() }
    fun opened(text: String) { page.typed[OPENED] = text; desk.keep() }

    fun save() {
        val opens = OpenLot(sheet = about("sheet"), lot = lot.trim(), opened = opened.trim().ifEmpty { null })
        desk.record(page, about("job"), Act.OpenLot(opens)) { desk.back() }
    }

    private companion object {
        const val LOT = "lot"
        const val OPENED = "opened"
    }
}

/** Which cars had a lot, and under what conditions. */
class LotsScreen(desk: Desk, page: Page) : Screen(desk, page) {
    var lots: LotsView? = null
        private set
    val lot get() = about(LOT)

    override fun look() {
        val (lot, language) = lot to desk.language
        if (lot.isBlank()) { lots = null; return changed() }
        desk.ask({ core -> core.lots(lot, language) }) { if (lot == this.lot) { lots = it; changed() } }
    }

    fun find(text: String) {
        page.about[LOT] = text
        desk.keep()
    }

    private companion object {
        const val LOT = "lot"
    }
}
