package app.sidelong.screens

import sidelong.core.*

/**
 * What was measured beside the work: air, panel, humidity, sun. The core says what follows from it and what lies outside the
 * sheets; nothing of that keeps anybody from working, and going on is put on record with a reason.
 */
class ConditionsScreen(desk: Desk, page: Page) : Screen(desk, page) {
    /** What is typed, in the order of the keys. */
    enum class Value { AIR, PANEL, HUMIDITY }

    val job get() = about("job")
    val panelName get() = page.about["panel"]?.let { panelName(it, desk.language) }
    private var work: WorkView? = null
    val made: ConditionsView? get() = page.about[MADE]?.let { id -> work?.conditions?.firstOrNull { it.id == id } }

    /** Whether there is a sheet that it is weighed against. */
    val weighed get() = work?.sheets?.isNotEmpty() == true
    var at = Value.AIR
        private set

    /** The first digit takes the place of what was offered. */
    private var fresh = true

    /** What cannot be read as a number. */
    var wrong: Value? = null
        private set
    val sun get() = typed(SUN) != null
    val reason get() = typed(REASON) ?: ""

    /** As it was typed, or else as it was last on this phone. */
    fun value(value: Value): String = typed(value.name) ?: desk.settings[LAST + value.name] ?: ""

    override fun look() {
        val (job, language) = job to desk.language
        desk.ask({ core -> core.work(job, language) }) { work = it; changed() }
    }

    fun at(value: Value) {
        at = value
        fresh = true
        changed()
    }

    private fun put(text: String) {
        fresh = false
        wrong = null
        type(at.name, text)
    }

    fun digit(digit: Char) {
        val now = if (fresh) "" else value(at)
        if (now.length < LONGEST) put(now + digit)
    }

    fun point() {
        val now = if (fresh) "" else value(at)
        if ('.' !in now) put(now.ifEmpty { "0" } + ".")
    }

    /** Below nought and back. */
    fun minus() = value(at).let { put(if (it.startsWith("-")) it.drop(1) else "-$it") }

    fun rub() = put(value(at).dropLast(1))
    fun sun() = type(SUN, if (sun) null else SUN)

    fun write(reason: String) {
        page.typed[REASON] = reason
        desk.keep()
    }

    fun save() {
        val air = temperatureTypedMc(value(Value.AIR).removeSuffix("."))
        val panel = value(Value.PANEL).removeSuffix(".")
        val panelMc = temperatureTypedMc(panel)
        val humidity = humidityTypedPpm(value(Value.HUMIDITY).removeSuffix("."))
        wrong = when {
            air == null -> Value.AIR
            panel.isNotEmpty() && panelMc == null -> Value.PANEL
            humidity == null -> Value.HUMIDITY
            else -> null
        }
        if (air == null || humidity == null || wrong != null) { at = wrong ?: at; fresh = true; return changed() }
        Value.entries.forEach { desk.settings[LAST + it.name] = value(it) }
        val read = ReadConditions(panel = page.about["panel"], airMc = air, panelMc = panelMc, rhPpm = humidity, sunOnPanel = sun)
        desk.record(page, job, Act.ReadConditions(read)) { changes ->
            page.about[MADE] = changes.input
            desk.keep()
            look()
        }
    }

    /** Measured once more: what is on record stays there. */
    fun again() {
        page.about.remove(MADE)
        fresh = true
        desk.keep()
        changed()
    }

    /** Going on all the same. */
    fun goOn() {
        val made = made ?: return
        desk.record(page, job, Act.ContinueWork(ContinueWork(conditions = made.id, reason = reason.trim().ifEmpty { null }))) { desk.back() }
    }

    private companion object {
        const val MADE = "made"
        const val SUN = "sun"
        const val REASON = "reason"
        const val LAST = "last-"

        /** Signs of the longest number that an instrument shows. */
        const val LONGEST = 6
    }
}
