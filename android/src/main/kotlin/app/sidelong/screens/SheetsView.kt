package app.sidelong.screens

import android.content.Context
import android.graphics.Rect
import android.text.InputType
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import app.sidelong.screens.SheetScreen.Figure

/** Sheets and lots on a screen: what this job has, then where more come from. */
class SheetsView(context: Context, private val ink: Ink, private val screen: SheetsScreen, lock: () -> Unit) : LinearLayout(context) {
    private val here = column(context, ink)
    private val lotsTitle = words(context, ink, Ink.LEAD, context.getString(R.string.lots))
    private val lots = Keys(context, ink, 1)
    private val knownTitle = words(context, ink, Ink.LEAD, context.getString(R.string.known_sheets))
    private val known = column(context, ink)
    private var listed: Any? = null

    init {
        orientation = VERTICAL
        val starters = Keys(context, ink, 2)
        screen.kinds.forEach { (kind, text) -> starters.addView(Key(context, ink, text, gloves = false) { screen.starter(kind) }) }
        val head = Head(context, ink, { screen.desk.back() }, lock)
        head.text = context.getString(R.string.sheets_and_lots)
        val body = column(
            context, ink, head, here, lotsTitle, lots, knownTitle, known,
            Key(context, ink, context.getString(R.string.own_sheet), gloves = false) { screen.own() },
            words(context, ink, Ink.LEAD, context.getString(R.string.starter_sheets)),
            words(context, ink, Ink.SMALL, context.getString(R.string.starter_why), ink.second), starters,
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        val work = screen.work
        if (work == null) { visibility = INVISIBLE; return }
        visibility = VISIBLE
        if (listed == Triple(work.sheets, work.lots, screen.known)) return
        listed = Triple(work.sheets, work.lots, screen.known)
        here.removeAllViews()
        if (work.sheets.isEmpty()) here.addView(words(context, ink, Ink.BODY, context.getString(R.string.no_sheet)))
        for (sheet in work.sheets) {
            val name = context.getString(R.string.sheet_line, sheet.product, sheet.kindText, sheet.version.toInt())
            here.addView(words(context, ink, Ink.LEAD, name))
            here.addView(words(context, ink, Ink.BODY, sheet.lines.joinToString("\n")))
            here.addView(words(context, ink, Ink.SMALL, (listOfNotNull(sheet.usual, sheet.newer) + sheet.typed).joinToString("\n"), ink.second))
            here.addView(Key(context, ink, context.getString(R.string.lot_of, sheet.product), gloves = false) { screen.lot(sheet) })
        }
        lots.removeAllViews()
        work.lots.forEach { lot ->
            val text = listOf(context.getString(R.string.lot_line, lot.lot, lot.product)) + lot.lines + context.getString(R.string.which_cars)
            lots.addView(Key(context, ink, text.joinToString("\n"), gloves = false) { screen.uses(lot) })
        }
        shown(lotsTitle, work.lots.isNotEmpty())
        shown(lots, work.lots.isNotEmpty())
        known.removeAllViews()
        for (sheet in screen.known) {
            val keys = Keys(context, ink, 2)
            if (work.sheets.none { it.product == sheet.product && it.version == sheet.version }) keys.addView(Key(context, ink, context.getString(R.string.take_sheet, sheet.product), gloves = false) { screen.take(sheet) })
            keys.addView(Key(context, ink, context.getString(R.string.next_version, sheet.product), gloves = false) { screen.edit(sheet) })
            known.addView(keys, LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.WRAP_CONTENT).apply { topMargin = ink.dp(8) })
        }
        shown(knownTitle, screen.known.isNotEmpty())
        shown(known, screen.known.isNotEmpty())
    }
}

/** A sheet of one's own on a screen. */
class SheetPageView(context: Context, private val ink: Ink, private val screen: SheetScreen, lock: () -> Unit) : LinearLayout(context) {
    private val head = Head(context, ink, { screen.desk.back() }, lock)
    private val body = column(context, ink, head)
    private val kinds = screen.kinds.associate { (kind, text) -> kind to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.kind(kind) } }
    private val missing = words(context, ink, Ink.BODY, context.getString(R.string.sheet_missing), ink.stop)
    private val wrongs = mutableMapOf<Figure, LinearLayout>()
    private var built = false
    private var told: Set<Figure> = emptySet()

    init {
        orientation = VERTICAL
        head.text = context.getString(R.string.own_sheet)
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun build() {
        built = true
        val plain = InputType.TYPE_CLASS_TEXT or InputType.TYPE_TEXT_FLAG_NO_SUGGESTIONS
        if (screen.fixed) body.addView(words(context, ink, Ink.LEAD, context.getString(R.string.next_version, screen.name)))
        else body.addView(column(
            context, ink, field(context, ink, context.getString(R.string.product_name), screen.name) { screen.name(it) },
            words(context, ink, Ink.BODY, context.getString(R.string.what_kind)), Keys(context, ink, 2).apply { kinds.values.forEach(::addView) },
        ))
        body.addView(words(context, ink, Ink.SMALL, context.getString(R.string.figures_why), ink.second))
        for ((figure, name) in NAMES) {
            val wrong = words(context, ink, Ink.BODY, context.getString(if (figure in WINDOWS) R.string.window_wrong else R.string.wait_wrong), ink.stop)
            wrongs[figure] = column(context, ink, wrong)
            body.addView(field(context, ink, context.getString(name), screen.figure(figure), plain) { screen.write(figure, it) })
            body.addView(wrongs[figure])
        }
        body.addView(column(context, ink, missing, Key(context, ink, context.getString(R.string.save), weight = Weight.NEXT) { screen.save() }))
        body.setPadding(0, 0, 0, ink.dp(8))
    }

    private fun show() {
        if (!screen.ready) return
        if (!built) build()
        kinds.forEach { (kind, key) -> key.chosen = kind == screen.kind }
        wrongs.forEach { (figure, text) -> shown(text, figure in screen.wrong) }
        shown(missing, screen.missing)
        // The page is long, and what is to be typed again may be off the glass.
        if (told != screen.wrong) post { wrongs.entries.firstOrNull { it.key in screen.wrong }?.value?.let { it.requestRectangleOnScreen(Rect(0, -it.height, it.width, it.height), true) } }
        told = screen.wrong
    }

    private companion object {
        val NAMES = mapOf(
            Figure.DWELL to R.string.figure_dwell, Figure.NEXT_LAYER to R.string.figure_next_layer, Figure.TOUCH to R.string.figure_touch,
            Figure.RAIN to R.string.figure_rain, Figure.WASH to R.string.figure_wash, Figure.CHEMICALS to R.string.figure_chemicals,
            Figure.FULL to R.string.figure_full, Figure.AIR to R.string.figure_air, Figure.PANEL to R.string.figure_panel, Figure.HUMIDITY to R.string.figure_humidity,
        )
        val WINDOWS = setOf(Figure.AIR, Figure.PANEL, Figure.HUMIDITY)
    }
}

/** A lot that is opened, on a screen. */
class LotPageView(context: Context, ink: Ink, screen: LotScreen, lock: () -> Unit) : LinearLayout(context) {
    init {
        orientation = VERTICAL
        val plain = InputType.TYPE_CLASS_TEXT or InputType.TYPE_TEXT_FLAG_CAP_CHARACTERS or InputType.TYPE_TEXT_FLAG_NO_SUGGESTIONS
        addView(low(
            context, ink, Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.LEAD, context.getString(R.string.lot_of, screen.product)),
            field(context, ink, context.getString(R.string.lot_printed), screen.lot, plain) { screen.lot(it) },
            field(context, ink, context.getString(R.string.lot_opened), screen.opened, InputType.TYPE_CLASS_DATETIME or InputType.TYPE_DATETIME_VARIATION_DATE) { screen.opened(it) },
            Key(context, ink, context.getString(R.string.save), weight = Weight.NEXT) { screen.save() },
        ), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
    }
}

/** Which cars had a lot, on a screen. */
class LotsPageView(context: Context, private val ink: Ink, private val screen: LotsScreen, lock: () -> Unit) : LinearLayout(context) {
    private val count = words(context, ink, Ink.BODY)
    private val partly = words(context, ink, Ink.SMALL, context.getString(R.string.list_building), ink.second)
    private val uses = column(context, ink)

    init {
        orientation = VERTICAL
        val plain = InputType.TYPE_CLASS_TEXT or InputType.TYPE_TEXT_FLAG_CAP_CHARACTERS or InputType.TYPE_TEXT_FLAG_NO_SUGGESTIONS
        val head = Head(context, ink, { screen.desk.back() }, lock)
        head.text = context.getString(R.string.which_cars)
        addView(scrolled(context, column(
            context, ink, head, field(context, ink, context.getString(R.string.lot_printed), screen.lot, plain) { screen.find(it) },
            Key(context, ink, context.getString(R.string.find), gloves = false) { screen.look() }, count, partly, uses,
        )), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        val lots = screen.lots
        count.text = lots?.let { context.getString(R.string.lot_cars, it.jobs.toInt(), it.uses.size) } ?: ""
        shown(partly, lots?.complete == false)
        uses.removeAllViews()
        lots?.uses?.forEach { use ->
            uses.addView(words(context, ink, Ink.LEAD, use.vehicle))
            uses.addView(words(context, ink, Ink.BODY, listOf(use.section, use.begun, use.state, use.product, context.getString(R.string.lot_is, use.lot)).filter { it.isNotEmpty() }.joinToString("\n")))
            uses.addView(words(context, ink, Ink.SMALL, (listOf(use.conditions) + use.notes).filter { it.isNotEmpty() }.joinToString("\n"), ink.second))
        }
    }
}
