package app.sidelong.screens

import sidelong.core.*

/**
 * Beginning a layer on a section: where, and with what. Everything is offered as it was last and as it follows, so that a
 * further section of the same layer is a touch or two; everything can be said otherwise.
 */
class LayerScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val job get() = about("job")
    var form: BodyForm? = null
        private set
    var work: WorkView? = null
        private set

    /** What would be begun now; none while it is not said with which product. */
    var offered: LayerOffered? = null
        private set

    /** Whether the whole car is shown, to touch another place on it. */
    var whole = false
        private set
    val drawing: DrawingView? get() = form?.let { Drawings.of(it, null, desk.language) }
    val panel: String? get() = typed(PANEL) ?: offered?.input?.panel
    val part: UInt? get() = if (typed(PANEL) == null) offered?.input?.part else typed(PART)?.toUIntOrNull()
    val layer: UInt? get() = typed(LAYER)?.toUIntOrNull() ?: offered?.input?.layer

    /** Sheets of the job in their newest version. */
    val sheets get() = work?.sheets?.filter { it.newer == null } ?: emptyList()
    val sheet get() = offered?.input?.sheet
    val lots get() = work?.lots ?: emptyList()
    val lot get() = typed(LOT) ?: offered?.input?.lot
    val conditions get() = work?.conditions?.lastOrNull()

    override fun look() {
        // Asked where it is needed, once: without it nothing rings, and the clocks on the screen go on.
        if (desk.ringing == Ringing.SILENT && desk.settings[Settings.RING_ASKED] == null) desk.letRing()
        val (job, language) = job to desk.language
        val (panel, part, sheet) = Triple(typed(PANEL), typed(PART)?.toUIntOrNull(), typed(SHEET))
        desk.ask({ core ->
            val now = core.workNow(job, language)
            val next = now.next.firstOrNull()
            val offered = when {
                panel != null -> core.layerOffered(job, panel, part, sheet, language)
                next != null && sheet != null -> core.layerOffered(job, next.input.panel, next.input.part, sheet, language)
                else -> next
            }
            Triple(now.form, core.work(job, language), offered)
        }) { (form, work, offered) ->
            this.form = form
            this.work = work
            this.offered = offered
            changed()
        }
    }

    fun touched(x: Float, y: Float, reach: Float) {
        val point = PointDrawn(x, y)
        val hit = strokeOn(form ?: return, null, if (whole) null else panel, reach, point, point, desk.language) ?: return
        chosen(hit.panel)
    }

    /** Another place, the whole of it. */
    fun chosen(panel: String) {
        whole = false
        section(panel, null)
    }

    private fun section(panel: String, part: UInt?) {
        page.typed.remove(LAYER)
        page.typed[PANEL] = panel
        type(PART, part?.toString())
        look()
    }

    fun wholeCar() { whole = !whole; changed() }

    /** The next part of the place, or the one before; before the first it is the whole of it. */
    fun part(by: Int) {
        val part = (part?.toInt() ?: 0) + by
        section(panel ?: return, part.takeIf { it > 0 }?.toUInt())
    }

    fun layer(by: Int) {
        val layer = (layer?.toInt() ?: return) + by
        if (layer > 0) type(LAYER, layer.toString())
    }

    fun sheet(sheet: SheetView) {
        page.typed.remove(LAYER)
        page.typed.remove(LOT)
        type(SHEET, sheet.id)
        look()
    }

    fun lot(lot: LotView) = type(LOT, lot.id)

    /** It is on the paint: its clock runs from here on. */
    fun applied() {
        val input = offered?.input ?: return
        val begun = input.copy(layer = layer ?: input.layer, lot = lot)
        desk.record(page, job, Act.BeginLayer(begun)) {
            if (desk.below(page)?.name == Names.CLOCKS) desk.back() else desk.replace(Page(Names.CLOCKS, "job" to job))
        }
    }

    fun products() = desk.go(Page(Names.SHEETS, "job" to job))
    fun readConditions() = desk.go(Page(Names.CONDITIONS, mutableMapOf("job" to job).apply { panel?.let { put("panel", it) } }))

    companion object {
        /** Under this name `typed` holds the sheet that was chosen. */
        const val SHEET = "sheet"
        private const val PANEL = "panel"
        private const val PART = "part"
        private const val LAYER = "layer"
        private const val LOT = "lot"
    }
}
