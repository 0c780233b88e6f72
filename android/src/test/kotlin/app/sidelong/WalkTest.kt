package app.sidelong

import app.sidelong.screens.Names
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith
import sidelong.core.*

/**
 * The walk by touches, on the real core. Touches are counted: a finger put down on the glass. In gloves one takes about
 * 1.5 s with finding the place (common practice, no source); the walk's time is printed from that.
 */
@RunWith(ShellRunner::class)
class WalkTest {
    private lateinit var phone: Phone

    @After
    fun end() = phone.close()

    private val walk get() = phone.walk
    private fun view(job: String = walk.job): JobView = Notebooks.ask(phone) { it.job(job, Language.EN_GB) }

    private fun begin(plate: String, body: String) {
        phone.begin(plate, body)
        assertEquals(Names.WALK, phone.screen.page.name)
    }

    /** Goes to a place: by touching it on the drawing where that shows it, else by its name. */
    private fun stand(panel: String) {
        if (walk.now!!.at == panel) return
        val car = phone.carOrNull
        val at = car?.bounds(panel)
        if (at != null) {
            val r = phone.rect(car)
            phone.touch(r.left + at.exactCenterX(), r.top + at.exactCenterY())
        }
        if (phone.screen.page.name == Names.MARK) phone.touch("Back")
        phone.goTo(panel)
        assertEquals(panel, walk.now!!.at)
    }

    private fun stroke(dx: Float = 30f, dy: Float = 10f) = phone.strokeHere(dx, dy)

    private fun report(what: String, touches: Int, letters: Int = 0) =
        println("$what: $touches touches, about %.0f s in gloves, and $letters letters typed".format(touches * SECONDS_A_TOUCH))

    /** Scenario 1: 17 painted panels of a saloon, 15 with nothing seen, two with a mark. */
    @Test
    fun cleanCarQuick() {
        phone = Phone()
        begin("AB12 CDE", "saloon")
        phone.clock.tick = 4_000
        var marks = 0
        repeat(17) {
            when (walk.now!!.at) {
                "rear-right-door" -> {
                    val before = phone.touches
                    stroke()
                    phone.touch("Nail: slight catch")
                    phone.touch("scratch")
                    marks++
                    report("a scratch with its catch", phone.touches - before)
                    assertTrue("a mark in at most 3 touches", phone.touches - before <= 3)
                    phone.touch("Nothing more here")
                }
                "bonnet" -> {
                    val before = phone.touches
                    stroke(0f, 0f)
                    phone.touch("stone chip")
                    marks++
                    assertTrue("a mark in at most 3 touches", phone.touches - before <= 3)
                    phone.touch("Nothing more here")
                }
                else -> phone.touch("Nothing seen")
            }
        }
        assertEquals(2, marks)
        report("scenario 1", phone.touches, phone.letters)
        assertTrue("90 s in gloves", phone.touches * SECONDS_A_TOUCH <= 90)
        val painted = view().walks[0].panels.take(17)
        assertEquals(15, painted.count { it.outcome == Outcome.NOTHING_SEEN })
        assertEquals(2, painted.count { it.outcome == Outcome.MARKS })
        assertEquals(0, painted.count { it.outcome == Outcome.NOT_LOOKED })
        val scratch = view().marks.first { it.panel == "rear-right-door" }
        assertEquals("scratch", scratch.kindText)
        assertEquals("stone chip", view().marks.first { it.panel == "bonnet" }.kindText)
    }

    /** A clean car: 17 panels one by one, and the rest of each side in passing. */
    @Test
    fun cleanCarInTwentyFiveTouches() {
        phone = Phone()
        begin("AB12 CDE", "saloon")
        repeat(17) { phone.touch("Nothing seen") }
        var most = 6
        while (walk.now!!.places.any { it.outcome == Outcome.NOT_LOOKED } && most-- > 0) phone.touch("Walk past")
        report("a clean car", phone.touches, phone.letters)
        assertTrue("${phone.touches} touches", phone.touches <= 25)
        val panels = view().walks[0].panels
        assertEquals(0, panels.count { it.outcome == Outcome.NOT_LOOKED })
        assertTrue(panels.drop(17).all { panel -> panel.answers.all { "walk past" in it.how } })
    }

    /** Scenario 2: a muddy SUV. What could not be seen is said so, and asked for again after the wash. */
    @Test
    fun dirtyArrival() {
        phone = Phone(seed = 2)
        begin("CD34 EFG", "SUV")
        val job = walk.job
        val muddy = listOf("front-left-door", "rear-left-door", "left-sill", "right-sill", "rear-right-door", "front-right-door")
        for (panel in muddy) {
            stand(panel)
            val before = phone.touches
            phone.touch("Could not see")
            phone.touch("dirt")
            assertEquals(2, phone.touches - before)
        }
        val arrival = view(job)
        assertEquals(muddy.toSet(), arrival.walks[0].panels.filter { it.outcome == Outcome.COULD_NOT_SEE }.map { it.panel }.toSet())
        phone.touch("More")
        phone.touch("after the wash")
        assertEquals(Stage.AFTER_WASH, walk.now!!.stage)
        stand("left-sill")
        assertTrue(phone.has("look again"))
        assertEquals(muddy.toSet(), walk.now!!.places.filter { it.again }.map { it.panel }.toSet())
        // The visit cannot be ended in silence over them.
        phone.touch("More")
        phone.touch("End the visit")
        assertNotNull(phone.desk.problem)
        assertTrue(phone.texts().toString(), phone.has("could not be seen and got no second look"))
        assertTrue(view(job).closings.isEmpty())
        phone.touch("Understood")
    }

    /** Scenario 3: found after the wash is never shown as found on arrival. */
    @Test
    fun foundAfterWash() {
        phone = Phone(seed = 3)
        begin("CD34 EFG", "SUV")
        val job = walk.job
        stand("front-left-door")
        phone.touch("Could not see")
        phone.touch("dirt")
        phone.touch("More")
        phone.touch("after the wash")
        stand("front-left-door")
        stroke(40f, 20f)
        phone.touch("Nail: firm catch")
        phone.type("Size in mm (may be left out)", "60")
        phone.touch("scratch")
        val mark = view(job).marks.single()
        assertEquals(Stage.AFTER_WASH, mark.stage)
        assertEquals("found after wash", mark.found)
        assertTrue(mark.size, mark.size!!.contains("60 mm"))
        assertTrue(mark.details.toString(), mark.details.any { "firm" in it })
    }

    /** Scenario 6: 25 marks walking round, in gloves: a touch is off by up to 4 mm in either direction. */
    @Test
    fun glovesSunOneHand() {
        phone = Phone(seed = 6)
        begin("EF56 GHJ", "saloon")
        val job = walk.job
        val random = java.util.Random(6)
        val density = phone.activity.resources.displayMetrics.density
        val off = { ((random.nextDouble() * 2 - 1) * 4 / 25.4 * 160 * density).toFloat() }
        val painted = walk.now!!.places.take(17).map { it.panel }
        val began = phone.touches
        val wrong = mutableListOf<String>()
        for (i in 0 until 25) {
            val panel = painted[i % painted.size]
            stand(panel)
            var first = true
            // A touch that meant another place shows itself: one goes there instead of being asked what it is.
            while (phone.screen.page.name != Names.MARK) {
                val car = phone.rect(phone.car)
                val at = phone.car.bounds(panel) ?: error("$panel is not on the glass")
                val (x, y) = car.left + at.exactCenterX() + off() to car.top + at.exactCenterY() + off()
                phone.stroke(x, y, x + 20, y + 8)
                if (phone.screen.page.name != Names.MARK) { if (first) wrong += panel; stand(panel) }
                first = false
            }
            if (phone.screen.page.about["panel"] != panel && first) wrong += panel
            phone.touch("scratch")
        }
        val marks = view(job).marks
        report("scenario 6, 25 marks", phone.touches - began)
        println("scenario 6: ${marks.size} marks, ${25 - wrong.size} on the right panel first time; not: $wrong")
        assertEquals("none lost", 25, marks.size)
        assertTrue("at least 23 of 25 on the right panel first time", wrong.size <= 2)
        assertTrue("13 s or less each", (phone.touches - began) * SECONDS_A_TOUCH / 25 <= 13)
    }

    /** Scenario 22: an absent owner. Silence is never agreement. */
    @Test
    fun absentOwner() {
        phone = Phone(seed = 22)
        begin("GH78 JKL", "5-door hatch")
        val job = walk.job
        phone.touch("Nothing seen")
        phone.touch("More")
        phone.touch("Owner’s answer")
        phone.touch("sent, no reply")
        phone.touch("Save")
        assertTrue("what became of the copy is asked for", phone.has("Choose the answer, and what became of the copy."))
        val sent = OwnersCopy.sent(phone)
        phone.touch(sent)
        phone.type("Sent to", "owner by message")
        phone.touch("Save")
        val view = view(job)
        assertEquals(OwnerAnswer.SENT_NO_REPLY, view.ownerAnswers.single().answer)
        assertTrue(view.ownerText, "no reply" in view.ownerText)
        val page = Notebooks.ask(phone) { it.report(job, Language.EN_GB) }
        assertFalse("agreed" in page.lowercase().replace("not agreed", "").replace("does not agree", ""))
        assertFalse("accepted" in page.lowercase())
    }

    /** Item by item: one mark is not agreed with, in the owner's words; a signature says "copy received" or what is beside it. */
    @Test
    fun ownerAgreesExcept() {
        phone = Phone(seed = 12)
        begin("ST12 UVW", "5-door hatch")
        val job = walk.job
        repeat(2) {
            stroke()
            phone.touch("scratch")
        }
        phone.touch("More")
        phone.touch("Owner’s answer")
        val before = phone.touches
        phone.touch("Does not agree: Mark 2")
        val fields = phone.all().filterIsInstance<android.widget.EditText>()
        fields[1].setText("that was there from the shop")
        phone.settle()
        phone.touch("agreed")
        phone.touch(copyGivenText(CopyGiven.RECEIVED, Language.EN_GB))
        val field = phone.all().filterIsInstance<app.sidelong.widgets.SignatureView>().single()
        phone.scrollTo(field)
        val r = phone.rect(field)
        phone.stroke(r.left + 30f, r.exactCenterY(), r.left + 300f, r.exactCenterY() - 20)
        // "Agreed" with an exception is refused by the core, told, and nothing of what was typed goes.
        phone.touch("Save")
        assertTrue(phone.texts().toString(), phone.has("Not recorded"))
        phone.touch("Understood")
        phone.touch("agreed, with exceptions")
        phone.touch("Save")
        report("an answer with an exception and a signature", phone.touches - before)
        val answer = view(job).ownerAnswers.single()
        assertEquals(OwnerAnswer.AGREED_EXCEPT, answer.answer)
        assertEquals(listOf(false), answer.items.map { it.agreed })
        assertEquals("that was there from the shop", answer.items.single().words)
        assertEquals(1, answer.signature.size)
        assertTrue(answer.signatureText, answer.signatureText!!.startsWith("drawn"))
    }

    /** A slip is taken back by one touch, and stays on record as one; ten seconds later it is not offered any more. */
    @Test
    fun takenBack() {
        phone = Phone(seed = 8)
        begin("JK90 LMN", "van")
        val first = walk.now!!.at!!
        phone.touch("Nothing seen")
        phone.touch("Take back")
        assertEquals(Outcome.NOT_LOOKED, walk.now!!.places.first { it.panel == first }.outcome)
        phone.touch("Nothing seen")
        assertNotNull(phone.find("Take back"))
        phone.pass(11_000)
        assertEquals(null, phone.find("Take back"))
    }

    /** The last record of the same plate is offered and never assumed; once it is the same car, a known mark is one touch. */
    @Test
    fun seenAgain() {
        phone = Phone(seed = 9)
        begin("KL12 MNP", "saloon")
        stand("front-left-door")
        stroke()
        phone.touch("scratch")
        phone.back()
        phone.touch("New car")
        phone.type("Number plate", "KL12 MNP")
        assertTrue(phone.has("This plate is on record"))
        phone.touch("saloon")
        assertEquals("never assumed", emptyList<MarkNow>(), walk.now!!.known)
        phone.back()
        phone.touch("New car")
        phone.type("Number plate", "KL12 MNP")
        // The newest first; the one with the mark is the other.
        phone.touch("marks: 1")
        phone.touch("saloon")
        val job = walk.job
        stand("front-left-door")
        val before = phone.touches
        phone.touch("seen again")
        assertEquals(1, phone.touches - before)
        val mark = view(job).marks.single()
        assertTrue(mark.also.toString(), mark.also.any { "known from an earlier visit" in it })
        assertEquals("nothing left to see again", emptyList<MarkNow>(), walk.known)
    }

    /** The wet lock: drops tap anywhere, a cloth wipes, two fingers press; nothing is touched until one finger stays. */
    @Test
    fun wetLock() {
        phone = Phone(seed = 10)
        begin("NO12 PQR", "van")
        val at = walk.now!!.at
        phone.touch("Wet lock")
        val random = java.util.Random(10)
        val root = phone.activity.window.decorView
        repeat(200) {
            val (x, y) = random.nextFloat() * root.width to random.nextFloat() * root.height
            if (it % 3 == 0) phone.stroke(x, y, random.nextFloat() * root.width, y) else phone.touch(x, y)
        }
        phone.back()
        assertNotNull(phone.find("Hold for a second to unlock"))
        phone.hold(phone.find("Hold for a second to unlock")!!, 700)
        assertNotNull("too short", phone.find("Hold for a second to unlock"))
        phone.die()
        assertNotNull("locked after a death too", phone.find("Hold for a second to unlock"))
        phone.hold(phone.find("Hold for a second to unlock")!!, 1_100)
        assertEquals(null, phone.find("Hold for a second to unlock"))
        assertEquals(at, walk.now!!.at)
        assertEquals(0, view().walks[0].panels.count { it.outcome != Outcome.NOT_LOOKED })
    }

    /** To a screen reader each place is a button, spoken with what is on record of it. */
    @Test
    fun spokenPlaces() {
        phone = Phone(seed = 11)
        begin("PQ12 RST", "saloon")
        stand("front-left-door")
        phone.touch("Nothing seen")
        val car = phone.car
        val nodes = car.accessibilityNodeProvider
        val spoken = seenIn(car).associate { it.label!! to it.place!! }
        assertTrue(spoken.keys.toString(), "left front door, nothing seen" in spoken)
        val sill = spoken.getValue("left sill, not looked")
        assertTrue(nodes.performAction(sill, android.view.accessibility.AccessibilityNodeInfo.ACTION_CLICK, null))
        phone.settle()
        assertEquals("left-sill", walk.now!!.at)
        assertTrue(nodes.performAction(sill, android.view.accessibility.AccessibilityNodeInfo.ACTION_CLICK, null))
        phone.settle()
        assertEquals("on the place where one stands it begins a mark", Names.MARK, phone.screen.page.name)
    }

    private companion object {
        const val SECONDS_A_TOUCH = 1.5
    }
}

/** What a test asks the core by itself: through the desk, so that it waits its turn. */
object Notebooks {
    fun <T> ask(phone: Phone, question: (Notebook) -> T): T {
        var answer: Result<T>? = null
        phone.desk.ask({ core -> runCatching { question(core) } }, {}) { answer = it }
        phone.settle()
        return answer!!.getOrThrow()
    }
}

/** Words of the core that a test touches. */
object OwnersCopy {
    fun sent(phone: Phone): String = copyGivenText(CopyGiven.SENT, phone.desk.language)
}
