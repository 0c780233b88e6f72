package app.sidelong

import android.app.Activity
import app.sidelong.screens.MarkScreen
import app.sidelong.screens.Names
import app.sidelong.screens.OwnerScreen
import app.sidelong.screens.Page
import app.sidelong.screens.ThicknessScreen
import app.sidelong.screens.Trail
import app.sidelong.screens.WalkScreen
import java.io.File
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.Shadows.shadowOf
import sidelong.core.*

/** Nothing is lost: the end of the process at every step, rotation, a camera that does not come back, a full store, clocks. */
@RunWith(ShellRunner::class)
class KeepTest {
    private lateinit var phone: Phone

    @After
    fun end() = phone.close()

    private val photo = File(System.getProperty("sidelong.fixtures")!!, "photos/arrival-rear-right-door-close.jpg").readBytes()

    private fun view(job: String): JobView = Notebooks.ask(phone) { it.job(job, Language.EN_GB) }

    /** At every step of a visit the process ends; each time it comes back to the same page with what was typed. */
    @Test
    fun theProcessEndsAtEveryStep() {
        phone = Phone(seed = 21)
        var steps = 0
        Tour(phone) {
            steps++
            if (it == "wet-lock" || it == "unlocked") return@Tour
            val before = phone.screen.page
            val (name, about, typed) = Triple(before.name, before.about.toMap(), before.typed.toMap())
            phone.die()
            val after = phone.screen.page
            assertEquals("step $it", name, after.name)
            assertEquals("step $it", typed, after.typed.toMap())
            assertEquals("step $it", about - WalkScreen.PASSING, after.about.toMap() - WalkScreen.PASSING)
        }.go()
        assertTrue("$steps steps", steps >= 20)
        val line = Notebooks.ask(phone) { it.jobs(null, 10u, Language.EN_GB) }.jobs.single()
        assertEquals("the tour as it is without an end", listOf(1u, 1u), listOf(line.marks, line.phones))
        assertTrue(line.closed)
        assertEquals(emptyList<Any>(), Notebooks.ask(phone) { it.check(null) }.findings)
    }

    /** What was typed of a mark comes back, and touching its kind after that records it once. */
    @Test
    fun aMarkHalfTyped() {
        phone = Phone(seed = 22)
        phone.begin("AB12 CDE")
        val job = phone.walk.job
        phone.strokeHere()
        phone.touch("Nail: firm catch")
        phone.type("Size in mm (may be left out)", "18")
        phone.die()
        val mark = phone.screen as MarkScreen
        assertEquals(Catch.FIRM, mark.catch)
        assertEquals("18", mark.size)
        phone.turn(Look.LANDSCAPE)
        assertEquals("18", (phone.screen as MarkScreen).size)
        phone.touch("scratch")
        assertEquals(1, view(job).marks.size)
        assertTrue(view(job).marks[0].size!!.contains("18 mm"))
    }

    /**
     * The process ends after the core has recorded and before the screen knows it: what was typed lies there under an id
     * that is on record. It is not asked for again, and nothing is recorded twice.
     */
    @Test
    fun recordedAndNotToldOfIt() {
        phone = Phone(seed = 23)
        phone.begin("AB12 CDE")
        val job = phone.walk.job
        phone.strokeHere()
        val page = phone.screen.page
        val id = Notebooks.ask(phone) { it.newId() }
        val mark = Description(panel = page.about.getValue("panel"), from = Spot(500_000u, 500_000u), kind = MarkKind.SCRATCH)
        Notebooks.ask(phone) { it.record(Input(id, job, null, Act.RecordMark(RecordMark(mark = mark)))) }
        page.typed[Page.INPUT] = id
        page.typed["size"] = "18"
        phone.desk.keep()
        phone.die()
        assertEquals(emptyMap<String, String>(), phone.screen.page.typed.toMap())
        phone.touch("Back")
        assertEquals(1, view(job).marks.size)
    }

    /** The store is full: nothing is on record, what was typed stays, and the same touch records it once there is room. */
    @Test
    fun noRoom() {
        phone = Phone(seed = 24)
        phone.begin("AB12 CDE")
        val job = phone.walk.job
        phone.strokeHere()
        phone.type("Size in mm (may be left out)", "18")
        phone.clock.broken = true
        phone.touch("scratch")
        assertNotNull("the person is told", phone.desk.problem)
        assertTrue(phone.texts().toString(), phone.has("Everything recorded so far is kept"))
        assertEquals("18", (phone.screen as MarkScreen).size)
        assertEquals(1, phone.hands.refusals.get())
        phone.clock.broken = false
        phone.touch("Understood")
        phone.touch("scratch")
        assertEquals(1, view(job).marks.size)
    }

    /** The end of a visit is on record before the phone's own key is asked, and the key can be asked again. */
    @Test
    fun theOwnKeyFails() {
        phone = Phone(seed = 32)
        for (broken in listOf(false, true)) {
            phone.key.broken = broken
            val job = Notebooks.ask(phone) { core ->
                core.newId().also {
                    core.record(Input(core.newId(), it, null, Act.OpenJob(OpenJob(form = BodyForm.VAN, finish = Finish.SOLID, scope = listOf(Scope.OUTSIDE)))))
                    core.record(Input(core.newId(), it, null, Act.CloseJob(CloseJob())))
                }
            }
            assertEquals(1, view(job).closings.size)
            val signed = { Notebooks.ask(phone) { it.cosignClosings(job) }.single().key }
            if (broken) {
                assertTrue(runCatching(signed).exceptionOrNull().toString().contains("does not sign"))
                phone.key.broken = false
            }
            assertEquals(KeyHeld.HARDWARE, signed())
        }
        assertEquals(emptyList<Any>(), Notebooks.ask(phone) { it.check(null) }.findings)
    }

    /** The camera is killed, or comes back with nothing; a photo that lies there after the end of the process is offered. */
    @Test
    fun theCamera() {
        phone = Phone(seed = 25)
        phone.begin("AB12 CDE")
        val job = phone.walk.job
        phone.strokeHere()
        phone.touch("scratch")
        phone.touch("Photo of it")
        phone.touch("close")
        val asked = shadowOf(phone.activity).nextStartedActivityForResult
        assertEquals("android.media.action.IMAGE_CAPTURE", asked.intent.action)
        phone.answer(asked.requestCode, Activity.RESULT_CANCELED)
        assertTrue(phone.has("No photo came back"))

        phone.touch("close")
        phone.cameraWrites(photo)
        phone.die()
        assertEquals(Names.PHOTO, phone.screen.page.name)
        assertEquals(0, view(job).marks[0].photos.size)
        phone.touch("A photo waits")
        val photo = view(job).marks[0].photos.single()
        assertEquals(Framing.CLOSE, photo.view)
        assertEquals(BlobState.HERE, photo.state)
        assertEquals("nothing is left in the inbox", 0, phone.desk.inbox.list()!!.size)
    }

    /** A picture that is none is told, and the person takes it again. */
    @Test
    fun aPhotoThatIsNone() {
        phone = Phone(seed = 26)
        phone.begin("AB12 CDE")
        phone.touch("More")
        phone.touch("Photo of the car")
        phone.touch("overall")
        phone.answer(phone.cameraWrites(byteArrayOf(1, 2, 3)), Activity.RESULT_OK)
        assertTrue(phone.texts().toString(), phone.has("This photo cannot be taken in"))
    }

    /** The clock is set back by an hour in the middle of a walk: everything is kept, and the order stays. */
    @Test
    fun theClockIsSetBack() {
        phone = Phone(seed = 27)
        phone.begin("AB12 CDE")
        val job = phone.walk.job
        phone.touch("Nothing seen")
        phone.clock.at.addAndGet(-3_600_000)
        phone.touch("Nothing seen")
        phone.die()
        phone.touch("Nothing seen")
        assertEquals(3, view(job).walks[0].panels.count { it.outcome == Outcome.NOTHING_SEEN })
        assertEquals(emptyList<Any>(), Notebooks.ask(phone) { it.check(null) }.findings)
    }

    /** Readings and a signature half done outlive rotation and the process. */
    @Test
    fun readingsAndASignature() {
        phone = Phone(seed = 28)
        phone.begin("AB12 CDE")
        phone.touch("More")
        phone.touch("Paint thickness")
        for (digit in "112") phone.touch(digit.toString())
        phone.touch("Next")
        phone.touch("9")
        phone.turn(Look.LANDSCAPE)
        phone.die()
        val thickness = phone.screen as ThicknessScreen
        assertEquals(listOf(112u), thickness.readings)
        assertEquals("9", thickness.digits)
        phone.touch("Back")
        phone.touch("Owner’s answer")
        val field = phone.views().filterIsInstance<app.sidelong.widgets.SignatureView>().firstOrNull()
            ?: phone.all().filterIsInstance<app.sidelong.widgets.SignatureView>().first()
        phone.scrollTo(field)
        val r = phone.rect(field)
        phone.stroke(r.left + 40f, r.exactCenterY(), r.left + 240f, r.exactCenterY() + 30)
        val strokes = (phone.screen as OwnerScreen).signature
        assertEquals(1, strokes.size)
        assertTrue(strokes[0].size >= 16)
        phone.die()
        assertEquals(strokes, (phone.screen as OwnerScreen).signature)
    }

    /** Scenario 7: no signal for six hours, three cars, 96 photos, and the battery dies in the middle of a mark. */
    @Test
    fun noSignalDeadPhone() {
        phone = Phone(seed = 7)
        val jobs = mutableListOf<String>()
        for (car in 1..3) {
            phone.begin("AB1$car CDE")
            val job = phone.walk.job
            jobs += job
            repeat(5) { phone.touch("Nothing seen") }
            phone.strokeHere()
            phone.touch("scratch")
            for (n in 1..32) {
                phone.touch("More")
                phone.touch("Photo of the car")
                phone.touch("overall")
                // A comment behind the picture's head makes each photo another file.
                phone.answer(phone.cameraWrites(commented(photo, "car $car photo $n")), Activity.RESULT_OK)
                phone.touch("Go on with the walk")
            }
            if (car < 3) { phone.touch("Back") }
        }
        // The battery dies with a stroke drawn and its kind not said: nothing is saved on the way out.
        phone.strokeHere()
        assertEquals(Names.MARK, phone.screen.page.name)
        phone.die()
        assertEquals("it says which mark is unfinished", Names.MARK, phone.screen.page.name)
        assertTrue(phone.has("Mark on the"))
        val views = jobs.map(::view)
        assertEquals(List(3) { 1 }, views.map { it.marks.size })
        assertEquals(96, views.sumOf { it.photos.size })
        assertTrue(views.flatMap { it.photos }.all { it.state == BlobState.HERE })
        assertEquals(96, views.flatMap { it.photos }.map { it.sha256 }.toSet().size)
        assertEquals(emptyList<Any>(), Notebooks.ask(phone) { it.check(null) }.findings)
    }

    private fun commented(jpeg: ByteArray, text: String): ByteArray {
        val comment = text.toByteArray()
        val length = comment.size + 2
        return jpeg.copyOfRange(0, 2) + byteArrayOf(-1, -2, (length shr 8).toByte(), length.toByte()) + comment + jpeg.copyOfRange(2, jpeg.size)
    }

    /** The trail is read back whatever stands in it; a file that was cut off or damaged costs no more than its last lines. */
    @Test
    fun theTrail() {
        phone = Phone(seed = 29)
        val file = File(phone.files, "other-trail")
        val trail = Trail(file)
        trail.pages += Page("walk", "job" to "a b%c\nd", "empty" to "")
        trail.pages.last().typed["words"] = "ünïcödé % مرحبا"
        trail.set["corner"] = "FRONT_LEFT"
        trail.write(trail.text())
        val back = Trail(file)
        assertEquals(trail.text(), back.text())
        assertEquals("a b%c\nd", back.pages[0].about["job"])
        // A page that lacks what it is about is left for the list of jobs, and not met again at every start.
        for (damaged in listOf("page mark\n", "page jobs\npage mark\n", "page jobs\npage walk\n", "page jobs\npage job\nabout job nonsense\n", "page jobs\npage nowhere\n")) {
            File(phone.files, "trail").writeText(damaged)
            phone.start()
            phone.die()
            if (phone.screen.page.name == Names.JOB) phone.back()
            assertEquals(damaged, Names.JOBS, phone.screen.page.name)
        }
        val whole = file.readBytes()
        for (cut in whole.indices) {
            file.writeBytes(whole.copyOf(cut))
            Trail(file)
        }
        val random = java.util.Random(1)
        repeat(500) {
            file.writeBytes(whole.clone().also { bytes -> bytes[random.nextInt(bytes.size)] = random.nextInt(256).toByte() })
            Trail(file)
        }
    }
}
