package app.sidelong.screens

import sidelong.core.*

/** Paint thickness of the place where the person stands: readings by a keypad, or why there is none. */
class ThicknessScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val panelName get() = panelName(about("panel"), desk.language)
    val digits get() = typed("digits") ?: ""
    val readings: List<UInt> get() = (typed("readings") ?: "").split(' ').mapNotNull { it.toUIntOrNull() }
    val noReadings get() = NoReading.entries.map { it to it.text(desk.language) }

    /** What the readings say so far, to read; empty without one. */
    val soFar get() = readingsSoFar(readings)

    override fun look() = changed()

    fun digit(digit: Char) {
        if (digits.length < LONGEST) type("digits", digits + digit)
    }

    /** Takes the last digit away, or brings the last reading back to be changed. */
    fun rub() {
        if (digits.isNotEmpty()) return type("digits", digits.dropLast(1))
        val last = readings.lastOrNull() ?: return
        page.typed["digits"] = last.toString()
        type("readings", readings.dropLast(1).joinToString(" "))
    }

    /** The next reading of the same panel. */
    fun next() {
        if (digits.isEmpty()) return
        page.typed["readings"] = (typed("readings")?.let { "$it " } ?: "") + digits
        type("digits", null)
    }

    fun save() {
        next()
        if (readings.isNotEmpty()) save(MeasureThickness(panel = about("panel"), readingsUm = readings, noReading = null))
    }

    /** The gauge says nothing here, and why. Never a nought. */
    fun none(why: NoReading) = save(MeasureThickness(panel = about("panel"), readingsUm = emptyList(), noReading = why))

    private fun save(measured: MeasureThickness) =
        desk.record(page, about("job"), Act.MeasureThickness(measured)) { desk.backTo(Names.WALK) }

    private companion object {
        /** Digits of the longest reading that the core takes. */
        const val LONGEST = 5
    }
}
