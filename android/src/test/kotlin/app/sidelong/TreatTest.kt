package app.sidelong

import android.app.Activity
import app.sidelong.screens.Names
import java.io.File
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith
import sidelong.core.*

/** What comes next on the surfaces, refusals, test squares, plan and cloths by touches, on the real core; scenarios 11 to 15. */
@RunWith(ShellRunner::class)
class TreatTest {
    private val phone = Phone(seed = 81)

    @After
    fun end() = phone.close()

    private val photo = File(System.getProperty("sidelong.fixtures")!!, "photos/arrival-rear-right-door-close.jpg").readBytes()
    private val job get() = phone.screen.page.about.getValue("job")
    private fun treated() = Notebooks.ask(phone) { it.treated(job, Language.EN_GB) }
    private fun visit(kind: EntryKind) = Notebooks.ask(phone) { it.job(job, Language.EN_GB) }.visit.filter { it.kind == kind }
    private fun panel(name: String) = treated().panels.first { it.panel == name }

    /** A washed car, and the page of its surfaces with a place open. */
    private fun washed(at: String) {
        phone.begin("AB12 CDE")
        phone.touch("More")
        phone.touch("after the wash")
        surfaces(at)
    }

    private fun surfaces(at: String) {
        phone.goTo(at)
        phone.touch("More")
        phone.touch("What comes next")
        assertEquals(Names.SURFACES, phone.screen.page.name)
    }

    private fun agree(where: String, vararg steps: String) {
        phone.touch("Agreed work")
        steps.forEach(phone::touch)
        phone.touch(where)
        phone.touch("the owner")
        assertTrue(phone.texts().toString(), phone.texts().any { it.startsWith("agreed, by the owner: ${steps[0]}") })
        phone.touch("Back")
    }

    private fun measure(vararg readings: String) {
        phone.touch("Paint thickness")
        readings.forEach { reading ->
            reading.forEach { phone.touch(it.toString()) }
            phone.touch("Next")
        }
        phone.touch("Save")
    }

    private fun touched(what: () -> Unit): Int {
        val before = phone.touches
        what()
        return phone.touches - before
    }

    @Test
    fun `scenario 11, compound on thin paint`() {
        phone.touch("This phone")
        phone.touch("How the shop works")
        phone.type("Floor: no machine under this reading without a reason, µm (90 if left out)", "ninety")
        phone.touch("Save")
        assertTrue(phone.has("This is not a number"))
        phone.type("Floor: no machine under this reading without a reason, µm (90 if left out)", "90")
        phone.touch("Save")
        assertTrue(phone.has("it holds from here on"))
        assertEquals(90u, Notebooks.ask(phone) { it.shop() }.floorUm)
        phone.touch("Back")
        phone.touch("Back")
        phone.begin("AB12 CDE")
        phone.touch("More")
        phone.touch("after the wash")
        phone.goTo("roof")
        phone.touch("More")
        measure("110", "82", "104")
        surfaces("roof")
        val count = touched {
            phone.touch("Another step")
            phone.touch("Which step")
            phone.touch("machine compounding")
            phone.touch("a test square of 30 × 30 cm")
            assertTrue(phone.texts().toString(), phone.has("the lowest reading, 82 µm, is under the floor of 90 µm"))
            phone.touch("Stop and read")
            assertEquals(Names.REFUSED, phone.screen.page.name)
            assertFalse("nothing is asked before the second thought", phone.has("Reason"))
            phone.touch("Go on anyway")
            phone.touch("the owner")
            assertTrue(phone.has("Say the reason first"))
            phone.type("Reason", "Only the scratch.")
            phone.touch("the owner")
        }
        println("scenario 11: $count touches, one of them too early, and the reason typed")
        val entry = visit(EntryKind.SET_ASIDE).single()
        assertTrue("${entry.lines}", entry.lines.any { "82 µm" in it } && "consent: the owner, agreed" in entry.lines)
        assertEquals(listOf("Only the scratch."), entry.typed)
        // The square may be tried now; the next reason is offered.
        phone.touch("Test square")
        assertEquals(Names.TRY_SQUARE, phone.screen.page.name)
        assertFalse(phone.has("82 µm"))
        phone.touch("Back")
        phone.touch("Another step")
        phone.touch("Which step")
        phone.touch("machine compounding")
        phone.touch("Stop and read")
        phone.touch("Go on anyway")
        assertTrue(phone.texts().toString(), phone.has("Only the scratch."))
        assertTrue(phone.has("was not tried on a test square"))
        phone.touch("Back")
        assertEquals(1, visit(EntryKind.SET_ASIDE).size)
    }

    @Test
    fun `scenario 12, matt paint, and what no consent sets aside`() {
        phone.touch("New car")
        phone.type("Number plate", "AB12 CDE")
        phone.touch("matt")
        phone.touch("coupé")
        phone.touch("More")
        phone.touch("after the wash")
        surfaces("bonnet")
        val count = touched {
            phone.touch("Another step")
            phone.touch("Which step")
            phone.touch("fine clay")
            phone.touch("a test square of 30 × 30 cm")
            phone.touch("Stop and read")
            assertTrue(phone.texts().toString(), phone.has("nothing brings the matt back"))
            phone.touch("Go on anyway")
            phone.type("Reason", "A hidden place.")
            phone.touch("the owner")
            phone.touch("Done")
        }
        println("scenario 12: $count touches from the page to clay on a test square, and the reason typed")
        assertEquals(Names.SURFACES, phone.screen.page.name)
        assertTrue(visit(EntryKind.STEP_DONE).single().lines.any { "in spite of a warning" in it })
        // A dressed pedal lets the foot slip: there is no way on.
        phone.touch("Another place")
        phone.touch("left front tyre")
        phone.touch("What it is")
        phone.touch("tyre tread")
        phone.touch("Save")
        phone.touch("Another step")
        phone.touch("Which step")
        phone.touch("tyre dressing")
        phone.touch("Stop and read")
        assertTrue(phone.texts().toString(), phone.has("does not grip") && phone.has("no consent sets it aside"))
        assertNull(phone.find("Go on anyway"))
        phone.touch("Leave it")
        assertEquals(Names.STEP, phone.screen.page.name)
    }

    @Test
    fun `scenario 13, from the bag test to clay`() {
        washed("bonnet")
        assertTrue(phone.has("Nothing agreed, felt or done here yet"))
        agree("bonnet", "fine clay", "sealant")
        val count = touched {
            phone.touch("Feel it")
            phone.touch("thin bag")
            phone.touch("steady fine grit")
            assertEquals(Names.SURFACES, phone.screen.page.name)
            assertTrue(phone.texts().toString(), phone.has("chemical before mechanical") && phone.has("Rests on:") && phone.has("felt with thin bag"))
            assertEquals("done, and what reacted", 1, touched { phone.touch("iron") })
            phone.touch("Feel it")
            phone.touch("a few specks")
            assertTrue(phone.texts().toString(), phone.has("fine clay on the bonnet, a test square"))
            assertEquals(1, touched { phone.touch("Done") })
            assertTrue(phone.has("Take back: fine clay"))
            phone.touch("Feel it")
            assertTrue(phone.has("a test square of 30"))
            phone.touch("smooth")
        }
        println("scenario 13: $count touches from the page to the smooth square")
        val told = panel("bonnet").history.map { it.text }
        assertEquals(
            listOf(
                "washed, says the walk-around after the wash",
                "felt with thin bag on the whole panel: steady fine grit",
                "iron remover on the whole panel; reacted: iron",
                "felt with thin bag on the whole panel: a few specks",
                "fine clay on a test square of 30 × 30 cm",
                "felt with thin bag on a test square of 30 × 30 cm: smooth",
            ),
            told,
        )
        phone.touch("Done")
        assertTrue(phone.has("Take back: fine clay"))
        phone.touch("Take back: fine clay")
        assertEquals(told, panel("bonnet").history.map { it.text })
        assertEquals(Area.PANEL, panel("bonnet").next!!.on)
        phone.touch("Plan")
        assertTrue(phone.texts().toString(), phone.has("sealant") && phone.has("panel wipe"))
    }

    @Test
    fun `one step done on all that wait for it`() {
        washed("bonnet")
        agree("All: paint", "iron remover")
        val all = treated().panels.size
        assertEquals(17, all)
        for (place in listOf("bonnet", "roof")) {
            phone.touch("Another place")
            phone.touch(place)
            phone.touch("Feel it")
            if (place == "bonnet") phone.touch("bare hand")
            phone.touch("a few specks")
        }
        assertEquals(1, touched { phone.touch("Done on all 2: roof, bonnet") })
        assertEquals(listOf(Step.FEEL, Step.FEEL), listOf("bonnet", "roof").map { panel(it).next!!.step })
        assertEquals(listOf("roof", "bonnet"), visit(EntryKind.STEP_DONE).single().panels)
    }

    @Test
    fun `scenarios 14 and 15, cloths`() {
        washed("bonnet")
        val count = touched {
            phone.touch("Cloths and pads")
            phone.touch("wheels")
            assertTrue(phone.texts().toString(), phone.has("does not go back up to \"upper paint\""))
            assertEquals(0, treated().cloths.size)
            phone.touch("upper paint")
            assertFalse(phone.has("does not go back up"))
            phone.touch("Take it")
        }
        println("scenario 15: warned at touch 2; a clean one taken after $count touches")
        assertEquals("cloth 1", treated().cloths.single().name)
        phone.touch("Another place")
        phone.touch("left rear door")
        assertEquals("scenario 14", 1, touched { phone.touch("Cloth fell") })
        val fallen = treated().dropped.single()
        assertEquals("bonnet", fallen.panel)
        assertEquals(ClothOut.DROPPED, treated().cloths.single().out)
        assertTrue(phone.texts().toString(), phone.texts().any { "a cloth fell on the bonnet" in it && "look there under a point of light" in it })
        // Nobody recorded the next one: it was on the place that is open.
        phone.touch("Cloth fell")
        assertEquals(listOf("bonnet", "rear-left-door"), treated().dropped.map { it.panel })
        phone.touch("Take back: dropped")
        assertEquals(listOf(true), treated().dropped.map { it.open })
        phone.touch("Looked under a point of light: nothing seen")
        assertEquals(listOf(false), treated().dropped.map { it.open })
        assertFalse(phone.has("look there under a point of light"))
        // What fell is warned of, and recorded with the warning when it is taken all the same.
        phone.touch("Cloths and pads")
        phone.touch("cloth 1")
        assertTrue(phone.texts().toString(), phone.has("out of use (dropped)"))
        phone.touch("Take it all the same")
        assertEquals(1, treated().cloths.single().warned.size)
        phone.touch("Cloths and pads")
        phone.touch("pad")
        phone.touch("Take it")
        assertEquals(listOf("cloth 1", "pad 1"), treated().cloths.map { it.name })
        phone.touch("Cloths and pads")
        phone.touch("pad 1")
        phone.touch("Grit in it")
        assertEquals(ClothOut.GRIT, treated().cloths.last().out)
        assertTrue(phone.has("grit was found in a pad on the left rear door"))
        phone.touch("Something is there: mark it")
        assertEquals("rear-left-door", phone.walk.now!!.at)
    }

    @Test
    fun `scenario 15 with the crew's own names`() {
        phone.touch("This phone")
        phone.touch("How the shop works")
        for (use in listOf("upper paint", "lower paint and sills", "glass")) phone.type(use, "second shelf")
        for (use in listOf("wheels", "tyres, arches and engine")) phone.type(use, "the crate")
        phone.touch("iron remover")
        phone.touch("Save")
        val shop = Notebooks.ask(phone) { it.shop() }
        assertEquals(Step.IRON_REMOVER, shop.chemicalFirst)
        assertEquals(listOf(ZoneUse.WHEELS, ZoneUse.TYRES), shop.zones.first { it.name == "the crate" }.uses)
        phone.touch("Back")
        phone.touch("Back")
        washed("bonnet")
        phone.touch("Cloths and pads")
        phone.touch("the crate")
        assertTrue(phone.texts().toString(), phone.has("\"the crate\" and does not go back up to \"second shelf\""))
    }

    @Test
    fun `a test square before the panel`() {
        phone.begin("AB12 CDE")
        phone.touch("More")
        phone.touch("after the wash")
        phone.goTo("bonnet")
        phone.touch("More")
        measure("112", "108", "115", "97", "110")
        surfaces("bonnet")
        agree("bonnet", "machine polishing")
        phone.touch("Test square")
        phone.touch("Photo before")
        phone.touch("close")
        phone.answer(phone.cameraWrites(photo), Activity.RESULT_OK)
        phone.touch("Tried: put on record")
        assertTrue(phone.has("Say machine, pad, polish and passes"))
        phone.type("Machine", "orbital, own 12")
        phone.type("Pad", "soft foam")
        phone.type("Polish", "fine polish")
        phone.die()
        assertEquals("what was typed is kept", Names.TRY_SQUARE, phone.screen.page.name)
        phone.touch("3")
        phone.touch("Tried: put on record")
        assertEquals(Names.SQUARE, phone.screen.page.name)
        assertTrue(phone.texts().toString(), phone.has("machine polishing · orbital, own 12 · soft foam · fine polish · passes: 3"))
        assertTrue(phone.has("First: have the owner's yes"))
        phone.touch("Lowest reading")
        phone.touch("9")
        phone.touch("6")
        phone.touch("Save")
        phone.touch("Photo after")
        phone.touch("close")
        phone.answer(phone.cameraWrites(photo), Activity.RESULT_OK)
        assertEquals("two halves of one frame", 2, phone.views().count { it is android.widget.ImageView })
        phone.touch("These two are the pair")
        phone.touch("Good enough")
        phone.touch("agreed")
        assertTrue(phone.texts().toString(), phone.has("Complete: the same on the panel") && phone.has("Lowest reading: 96 µm"))
        phone.touch("Back")
        assertEquals(1, touched { phone.touch("Done") })
        assertEquals("machine polishing on the bonnet", visit(EntryKind.STEP_DONE).single().lines[0])
        // On another panel the same tools are offered: no letter is typed.
        phone.touch("Another place")
        phone.touch("roof")
        val letters = phone.letters
        val count = touched {
            phone.touch("Test square")
            phone.touch("orbital, own 12")
            phone.touch("soft foam")
            phone.touch("fine polish")
            phone.touch("3")
            phone.touch("Tried: put on record")
        }
        println("another test square: $count touches, ${phone.letters - letters} letters")
        assertEquals(0, phone.letters - letters)
        phone.touch("Not good enough")
        phone.touch("Back")
        assertTrue(phone.texts().toString(), phone.has("machine compounding on the roof"))
    }
}
