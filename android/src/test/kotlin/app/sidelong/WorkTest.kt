package app.sidelong

import android.content.Intent
import android.widget.TextView
import app.sidelong.platform.FilesProvider
import app.sidelong.screens.ClocksScreen
import app.sidelong.screens.LayerScreen
import app.sidelong.screens.Names
import java.io.File
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.Shadows.shadowOf
import org.robolectric.shadows.ShadowAlarmManager
import sidelong.core.*

/** Clocks, layers, conditions, sheets, lots and aftercare by touches, on the real core. */
@RunWith(ShellRunner::class)
class WorkTest {
    // Time passes only when a test lets it: what is told to the second is held to the second.
    private val phone = Phone(clock = HandClock().apply { tick = 0 }).also { ShadowAlarmManager.setCanScheduleExactAlarms(true) }

    @After
    fun end() = phone.close()

    private fun seconds(count: Int) = phone.pass(count * 1_000L)
    private fun refusal(): String? = (phone.desk.problem as? NotebookException.Refused)?.message

    /** The cards from above, as they stand on the glass: what is told, and of which section. */
    private fun cards(): List<String> {
        val on = (phone.screen as ClocksScreen).clocks!!.open.flatMap { clock -> phone.texts().filter { it == clock.text || it == "${clock.section}, layer ${clock.layer}" } }
        return phone.texts().filter { it in on }.chunked(2).map { it.joinToString(" | ") }
    }

    @Test
    fun `scenario 16, four clocks at once, the next due on top and a late one told`() {
        phone.beginWork()
        phone.product("the first layer")
        assertEquals(Names.LAYER, phone.screen.page.name)
        phone.touchPlace("bonnet")
        phone.touch("Applied")
        assertEquals(listOf("due in 2 min | bonnet, layer 1"), cards())
        seconds(50)
        phone.touch("Begin a section")
        phone.touchPlace("roof")
        phone.touch("Applied")
        seconds(40)
        phone.touch("Begin a section")
        phone.touchPlace("decklid")
        phone.touch("Applied")
        seconds(10)
        phone.toJob()
        phone.product("tar remover")
        phone.touchPlace("front-left-door")
        phone.touch("Applied")
        // 100 s after the first: it is due in 20 s, the tar in 60, the roof in 70, the boot lid in 110.
        assertEquals(
            listOf("due in 20 s | bonnet, layer 1", "due in 1 min | left front door, layer 1", "due in 1 min 10 s | roof, layer 1", "due in 1 min 50 s | boot lid, layer 1"),
            cards(),
        )
        seconds(21)
        assertEquals("due, 59 s left | bonnet, layer 1", cards()[0])
        // Over three minutes: late, on top, and not hidden; the others count on.
        seconds(64)
        assertEquals("5 s late | bonnet, layer 1", cards()[0])
        assertEquals(4, cards().size)
        assertEquals(1, phone.touchesOf { phone.touch("Levelled: bonnet, layer 1") })
        assertTrue(phone.texts().toString(), phone.has("Levelled late") && phone.has("bonnet, layer 1: "))
        assertEquals(3, cards().size)
        assertEquals(listOf(5_000UL), phone.work().layers.map { it.lateMs }.filter { it > 0u })
    }

    private fun Phone.touchesOf(what: () -> Unit): Int = touches.let { before -> what(); touches - before }

    @Test
    fun `levelled and the next one open is one touch, one input, and can be taken back`() {
        phone.beginWork()
        phone.product("the first layer")
        phone.touchPlace("bonnet")
        phone.touch("part: one more")
        assertTrue(phone.has("bonnet, part 1, layer 1"))
        phone.touch("Applied")
        seconds(130)
        assertEquals(1, phone.touchesOf { phone.touch("Levelled, open: bonnet, part 2") })
        assertEquals(listOf("bonnet, part 2" to "due in 2 min"), phone.open())
        val layers = phone.work().layers
        assertEquals(listOf(130_000L), layers.mapNotNull { layer -> layer.levelledMs?.let { it - layer.begunMs } })
        assertEquals("in the same moment", layers[0].levelledMs, layers[1].begunMs)
        assertEquals(layers[0].stamp.recorder, layers[1].stamp.recorder)
        phone.touch("Take back: levelled")
        assertEquals("both are taken back", listOf("bonnet, part 1"), phone.open().map { it.first })
        seconds(11)
        assertFalse(phone.has("Take back"))
        // The next panel in walking order, and not glass: the sheet is for paint.
        val other = phone.texts().filter { it.startsWith("Levelled, open: ") }
        assertEquals(2, other.size)
        phone.touch(other[1])
        assertEquals(listOf(other[1].removePrefix("Levelled, open: ")), phone.open().map { it.first })
        seconds(11)
        phone.touch("Levelled")
        assertEquals(emptyList<Any>(), phone.open())
        assertTrue(phone.has("No section is open"))
        assertEquals("early, and said so", 1, phone.work().layers.count { it.earlyMs > 0u })
    }

    @Test
    fun `a further section of the same layer takes three touches at most`() {
        phone.beginWork()
        phone.product("ceramic coating")
        phone.touch("Applied")
        // Where it follows by itself: two touches. A place of one's own: four with the whole car, three when it lies beside.
        assertEquals(2, phone.touchesOf { phone.touch("Begin a section"); phone.touch("Applied") })
        assertEquals(2, phone.open().size)
        phone.touch("Begin a section")
        val layer = phone.screen as LayerScreen
        val (from, next) = layer.panel!! to layer.offered!!.input.layer
        assertEquals(1u, next)
        phone.scrollTo(phone.car)
        val beside = layer.drawing!!.places.map { it.panel }.first { it != from && phone.car.bounds(it) != null && it !in phone.work().layers.map { done -> done.panel } }
        assertEquals(2, phone.touchesOf {
            val at = phone.rect(phone.car).let { r -> phone.car.bounds(beside)!!.let { r.left + it.exactCenterX() to r.top + it.exactCenterY() } }
            phone.touch(at.first, at.second)
            phone.touch("Applied")
        })
        assertEquals(3, phone.open().size)
        // The second layer on the first section is the second by itself; it can be said otherwise.
        for (clock in phone.open()) phone.touch("Levelled")
        phone.touch("Begin a section")
        phone.touchPlace(from)
        phone.scrollTo(phone.car)
        phone.touchPlace(phone.work().layers[0].panel)
        assertTrue(phone.texts().toString(), phone.has(", layer 2"))
        phone.touch("layer: one less")
        assertTrue(phone.has(", layer 1"))
        phone.touch("layer: one more")
        phone.touch("Applied")
        assertEquals(2u, phone.work().layers.last().layer)
    }

    @Test
    fun `clocks are right at once after a death, a turn and a clock set back by an hour`() {
        phone.beginWork()
        phone.product("the first layer")
        phone.touch("Applied")
        seconds(30)
        phone.clock.at.addAndGet(-3_600_000)
        seconds(30)
        assertTrue(phone.texts().toString(), phone.has("due in 1 min"))
        phone.turn(Look.LANDSCAPE)
        assertTrue(phone.texts().toString(), phone.has("due in 1 min"))
        // Dead for 70 s: the section waits on, and the screen is the same one.
        phone.clock.at.addAndGet(70_000)
        phone.clock.running.addAndGet(70_000)
        phone.die()
        assertEquals(Names.CLOCKS, phone.screen.page.name)
        assertTrue(phone.texts().toString(), phone.has("due, 50 s left"))
        // Told anew while it is open, without a touch.
        seconds(1)
        assertTrue(phone.texts().toString(), phone.has("due, 49 s left"))
        // Started anew with a clock that was set back: at least what has passed since, and that is said.
        phone.clock.at.addAndGet(-3_600_000)
        phone.clock.boot = "boot-2"
        phone.clock.running.set(20_000)
        phone.die()
        assertTrue(phone.texts().toString(), phone.has("it may be over earlier, never later"))
    }

    @Test
    fun `the clocks are one touch from the list while a section is open`() {
        phone.beginWork("AB12 CDE")
        phone.product("the first layer")
        phone.touch("Applied")
        while (phone.screen.page.name != Names.JOBS) phone.touch("Back")
        assertEquals(1, phone.touchesOf { phone.touch("Clocks · open sections: 1") })
        assertTrue(phone.texts().toString(), phone.has("AB12 CDE") && phone.has("due in 2 min"))
        phone.touch("Levelled")
        phone.touch("Back")
        assertNull(phone.find("Clocks"))
        phone.touch("AB12 CDE")
        assertEquals(1, phone.touchesOf { phone.touch("Clocks") })
        assertEquals(Names.CLOCKS, phone.screen.page.name)
    }

    /** A sheet of one's own: its numbers as they are typed, and what the core reads of them. */
    private fun ownSheet(name: String, vararg figures: Pair<String, String>) {
        phone.touch("Sheets and lots")
        phone.touch("A sheet of your own")
        phone.type("Product", name)
        phone.touch("ceramic coating")
        figures.forEach { (field, text) -> phone.type(field, text) }
    }

    private fun number(text: String) = text.forEach { phone.touch(if (it == '.') "Point" else it.toString()) }

    @Test
    fun `scenario 17, outside the window three notes and no block`() {
        phone.beginWork()
        ownSheet("Coat W", "Air, °C" to "10-27", "Panel, °C" to "10 to 27", "Humidity, %" to "seventy")
        phone.touch("Save")
        assertTrue("what cannot be read is told", phone.has("This is no range"))
        phone.type("Humidity, %", "40-70")
        phone.touch("Save")
        assertEquals(Names.SHEETS, phone.screen.page.name)
        assertTrue(phone.texts().toString(), phone.texts().any { "air 10 °C to 27 °C" in it && "humidity 40 to 70 %" in it })
        phone.toJob()
        phone.touch("Conditions")
        number("29")
        phone.touch("Panel")
        number("38.5")
        phone.touch("Save")
        assertTrue("the humidity is wanting", phone.has("The marked one is no number"))
        number("35")
        phone.touch("Sun on the panel")
        phone.touch("Save")
        val read = phone.work().conditions.single()
        assertEquals(3, read.notes.count { "by the sheet" in it })
        for (note in read.notes) assertTrue(note, phone.has(note))
        assertTrue(read.text, phone.has(read.text) && "dew point" in read.text && "panel 38.5 °C" in read.text)
        phone.type("Why you go on (may be left out)", "the owner leaves at noon")
        phone.touch("Go on anyway")
        assertEquals(Names.JOB, phone.screen.page.name)
        assertTrue(phone.work().conditions.single().continued.single().contains("the owner leaves at noon"))
        // The last values are offered, and a touch on one of them is enough to measure on.
        phone.touch("Conditions")
        assertTrue(phone.texts().toString(), phone.has("29 °C") && phone.has("38.5 °C") && phone.has("35 %"))
        number("18")
        phone.touch("Panel")
        number("20")
        phone.touch("Humidity")
        number("55")
        phone.touch("Save")
        assertTrue(phone.texts().toString(), phone.has("Nothing outside the limits"))
        phone.touch("Back to the work")
        // Below nought and outside what there is: refused by the core, and nothing is lost.
        phone.touch("Conditions")
        phone.touch("Below nought")
        number("45")
        phone.touch("Below nought")
        phone.touch("Save")
        assertTrue(refusal(), refusal()!!.contains("air_mc"))
        assertEquals(2, phone.work().conditions.size)
    }

    @Test
    fun `scenario 18, the clocks after the last layer, the use of the car, and the file for a calendar`() {
        phone.clock.at.set(HandClock.MORNING + (7 * 3_600 + 17 * 60 + 30) * 1_000L)
        phone.beginWork()
        ownSheet("Coat C", "Level or take off after" to "2 to 3 min", "Kept dry for" to "24 h", "No wash for" to "7 days", "Fully cured after" to "14 days")
        phone.touch("Save")
        phone.toJob()
        phone.touch("Begin a section")
        phone.touch("Applied")
        seconds(150)
        phone.touch("Levelled")
        phone.touch("Back")
        phone.touch("Aftercare")
        val told = { phone.texts().joinToString("\n") }
        val dates = listOf("Wed 10 June 2026, 15:20", "Tue 16 June 2026, 15:20", "Tue 23 June 2026, 15:20")
        dates.forEach { assertTrue(told(), it in told()) }
        assertTrue(told(), phone.has("Look again"))
        // Three days offline and a restart.
        phone.clock.at.addAndGet(3 * 86_400_000L)
        phone.clock.boot = "boot-2"
        phone.clock.running.set(20_000)
        phone.die()
        assertEquals(Names.AFTERCARE, phone.screen.page.name)
        dates.forEach { assertTrue(told(), it in told()) }
        val before = phone.work().lookAgain.single()
        for (said in listOf("outside", "in a tunnel with brushes", "Salted roads ahead")) phone.touch(said)
        phone.type("Kilometres a year (may be left out)", "40 000")
        phone.touch("Save how it is used")
        assertTrue(phone.has("Type whole numbers"))
        phone.type("Kilometres a year (may be left out)", "40000")
        phone.touch("Save how it is used")
        val after = phone.work().lookAgain.single()
        assertTrue("${before.fromDay} then ${after.fromDay}", after.fromDay < before.fromDay)
        // What was said stands when one thing more is said.
        phone.touch("Back")
        phone.touch("Aftercare")
        phone.touch("Long hot summers")
        phone.touch("Save how it is used")
        val used = phone.job.let { job -> Notebooks.ask(phone) { it.workNow(job, Language.EN_GB).used } }
        assertEquals(CarUse(40_000u, Sleeps.OUTSIDE, WashHabit.TUNNEL, heat = true, salt = true, ageYears = null), used)
        phone.touch("Share for the calendar")
        val chosen = shadowOf(phone.activity).nextStartedActivity.getParcelableExtra(Intent.EXTRA_INTENT, Intent::class.java)!!
        assertEquals("text/calendar", chosen.type)
        val file = File(FilesProvider.Folder.SHARES.of(phone.app), "aftercare.ics").readText()
        assertTrue(file, file.startsWith("BEGIN:VCALENDAR") && "DTSTART:20260610T142000Z" in file && "AB12 CDE" in file)
        assertEquals("text/calendar", phone.activity.contentResolver.getType(chosen.getParcelableExtra(Intent.EXTRA_STREAM, android.net.Uri::class.java)!!))
    }

    @Test
    fun `sheets known from another job, the next version of one, lots, and which cars had one`() {
        phone.beginWork("AB12 CDE")
        ownSheet("Coat L", "Level or take off after" to "1 to 5 min", "Kept dry for" to "soon")
        phone.touch("Save")
        assertTrue(phone.has("This is no wait"))
        phone.type("Kept dry for", "12 h")
        phone.touch("Save")
        phone.touch("Lot of Coat L")
        phone.type("Lot as it is printed", "-")
        phone.touch("Save")
        assertTrue(refusal(), refusal()!!.contains("no letter and no digit"))
        phone.touch("Understood")
        phone.type("Lot as it is printed", "K-1042")
        phone.type("Opened on, for example 2026-06-09 (may be left out)", "2026-06-09")
        phone.touch("Save")
        phone.toJob()
        phone.touch("Begin a section")
        assertTrue("the last lot by itself: ${phone.texts()}", phone.has("lot K-1042"))
        phone.touch("Applied")
        // The second car: the sheet is known, and its next version is made here.
        while (phone.screen.page.name != Names.JOBS) phone.touch("Back")
        phone.beginWork("CD34 EFG")
        phone.touch("Begin a section")
        phone.touch("Say first with which product")
        phone.touch("Take: Coat L")
        assertEquals("back where it was asked for", Names.LAYER, phone.screen.page.name)
        assertTrue(phone.has("Coat L"))
        phone.touch("Products and lots")
        phone.touch("Next version: Coat L")
        assertEquals("1 min to 5 min", (phone.screen as app.sidelong.screens.SheetScreen).figure(app.sidelong.screens.SheetScreen.Figure.DWELL))
        phone.type("Level or take off after", "2 to 4 min")
        phone.touch("Save")
        val sheets = phone.work().sheets
        assertEquals(listOf(1u, 2u), sheets.map { it.version })
        assertTrue(sheets[1].lines.toString(), sheets[1].lines.any { "2 min to 4 min" in it } && sheets[1].lines.any { "12 h" in it })
        phone.touch("Lot of Coat L")
        phone.type("Lot as it is printed", "K-1O42")
        phone.touch("Save")
        phone.touch("Back")
        phone.touch("Applied")
        phone.touch("Back")
        phone.toJob()
        phone.touch("Sheets and lots")
        phone.touch("Which cars had it")
        assertEquals(Names.LOTS, phone.screen.page.name)
        // 0 and O read alike on a bottle.
        assertTrue(phone.texts().toString(), phone.has("Cars: 2 · layers: 2") && phone.has("AB12 CDE") && phone.has("CD34 EFG") && phone.has("lot K-1042"))
        phone.type("Lot as it is printed", "Z9")
        phone.touch("Find")
        assertTrue(phone.has("Cars: 0 · layers: 0"))
    }
}
