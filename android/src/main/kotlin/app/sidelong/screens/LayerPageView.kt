package app.sidelong.screens

import android.content.Context
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*

/** Beginning a layer on a screen: where and with what above, the one touch that starts its clock below, always on the glass. */
class LayerPageView(context: Context, private val ink: Ink, private val screen: LayerScreen, lock: () -> Unit) : LinearLayout(context) {
    private val head = Head(context, ink, { screen.desk.back() }, lock)
    private val title = words(context, ink, Ink.LEAD)
    private val about = words(context, ink, Ink.BODY, colour = ink.second)
    private val car = CarView(context, ink)
    private val whole = Key(context, ink, context.getString(R.string.whole_car), gloves = false, weight = Weight.CHOICE) { screen.wholeCar() }
    private val part = Stepper(context, ink, context.getString(R.string.part)) { screen.part(it) }
    private val layer = Stepper(context, ink, context.getString(R.string.layer)) { screen.layer(it) }
    private val withTitle = words(context, ink, Ink.BODY, context.getString(R.string.with_what))
    private val sheets = Keys(context, ink, 2)
    private val lotTitle = words(context, ink, Ink.BODY, context.getString(R.string.from_lot))
    private val lots = Keys(context, ink, 2)
    private val conditions = words(context, ink, Ink.BODY)
    private val quiet = RingingNote(context, ink, screen.desk)
    private val products = Key(context, ink, context.getString(R.string.other_product), gloves = false) { screen.products() }
    private val first = Key(context, ink, context.getString(R.string.first_product), weight = Weight.NEXT) { screen.products() }
    private val applied = Key(context, ink, context.getString(R.string.applied), weight = Weight.NEXT) { screen.applied() }
    private var listed: Any? = null

    init {
        orientation = VERTICAL
        car.stroke = { x, y, _, _ -> screen.touched(x, y, car.reach) }
        car.chosen = screen::chosen
        val body = column(context, ink, head, title, about)
        body.addView(car, LayoutParams(LayoutParams.MATCH_PARENT, ink.dp(240)).apply { topMargin = ink.dp(8) })
        body.addView(column(
            context, ink, whole, part, layer, withTitle, sheets, lotTitle, lots,
            Keys(context, ink, 2).apply { addView(products); addView(Key(context, ink, context.getString(R.string.conditions), gloves = false) { screen.readConditions() }) },
            conditions, quiet,
        ))
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, 0, 1f))
        addView(column(context, ink, first, applied).apply { setPadding(0, 0, 0, ink.dp(8)) })
        title.accessibilityLiveRegion = View.ACCESSIBILITY_LIVE_REGION_POLITE
        screen.changed = ::show
        show()
    }

    private fun show() {
        val (work, drawing) = screen.work to screen.drawing
        if (work == null || drawing == null) { visibility = INVISIBLE; return }
        visibility = VISIBLE
        val offered = screen.offered
        head.text = context.getString(R.string.begin_section)
        title.text = offered?.let { context.getString(R.string.section_layer, it.section, (screen.layer ?: it.input.layer).toInt()) } ?: ""
        val lot = work.lots.firstOrNull { it.id == screen.lot }?.lot
        about.text = listOfNotNull(offered?.product, lot?.let { context.getString(R.string.lot_is, it) }).joinToString(" · ")
        val at = if (screen.whole) null else screen.panel
        val laid = work.layers.groupBy { it.panel }
        car.show(drawing, at, drawing.places.map { PlaceShown(it.panel, it.name, laid[it.panel]?.joinToString("; ") { on -> context.getString(R.string.line_of, on.section, on.state) } ?: "", Sign.NONE) }, emptyList())
        car.contentDescription = context.getString(R.string.drawing_of, offered?.section ?: context.getString(R.string.the_whole_car))
        whole.chosen = screen.whole
        // A finger finds a place on the whole car only where it is drawn large.
        val tall = ink.dp(if (screen.whole) 440 else 240)
        if (car.layoutParams.height != tall) car.layoutParams = car.layoutParams.apply { height = tall }
        part.text = screen.part?.let { context.getString(R.string.part_is, it.toInt()) } ?: context.getString(R.string.whole_panel)
        layer.text = screen.layer?.let { context.getString(R.string.layer_is, it.toInt()) } ?: ""
        list(work.sheets to work.lots)
        listOf<View>(title, about, car, whole, part, layer, withTitle, sheets, applied).forEach { shown(it, offered != null) }
        shown(first, offered == null)
        shown(products, offered != null)
        val read = screen.conditions
        conditions.text = read?.let { (listOf(it.text) + it.notes).joinToString("\n") } ?: context.getString(R.string.no_conditions)
        quiet.show()
        choose()
    }

    private fun list(now: Any) {
        if (listed == now) return
        listed = now
        sheets.removeAllViews()
        screen.sheets.forEach { sheet -> sheets.addView(Key(context, ink, sheet.product, gloves = false, weight = Weight.CHOICE) { screen.sheet(sheet) }.apply { tag = sheet.id }) }
        lots.removeAllViews()
        screen.lots.forEach { lot -> lots.addView(Key(context, ink, lot.lot, gloves = false, weight = Weight.CHOICE) { screen.lot(lot) }.apply { tag = lot.id }) }
        shown(lotTitle, screen.lots.size > 1)
        shown(lots, screen.lots.size > 1)
    }

    private fun choose() {
        for ((keys, chosen) in listOf(sheets to screen.sheet, lots to screen.lot)) for (at in 0 until keys.childCount) (keys.getChildAt(at) as Key).let { it.chosen = it.tag == chosen }
    }
}
