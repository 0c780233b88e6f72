package app.sidelong

import android.content.Intent
import android.net.Uri
import app.sidelong.platform.FilesProvider
import app.sidelong.platform.PhoneVault
import app.sidelong.screens.Names
import java.io.File
import java.io.FileNotFoundException
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertThrows
import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.Shadows.shadowOf
import sidelong.core.*

/** What leaves the phone and what comes to it: another phone's record, shared reports, keys. */
@RunWith(ShellRunner::class)
class CrewTest {
    private lateinit var phone: Phone

    @After
    fun end() = phone.close()

    /** Another phone with a mark of its own on the same job, in a folder of its own: the second detailer. */
    private fun colleague(folder: File, job: String): Notebook {
        val clock = HandClock(HandClock.MORNING + 60_000).apply { boot = "boot-2" }
        val random = SeededRandom(99)
        val vault = PhoneVault(File(folder.parentFile, "seed-2")) { FakeChest() }
        val other = Notebook.open(folder.path, Platform(clock, random, vault))
        val put = { act: Act -> other.record(Input(other.newId(), job, null, act)) }
        put(Act.OpenJob(OpenJob(form = BodyForm.HATCH5, finish = Finish.UNKNOWN, scope = listOf(Scope.OUTSIDE), plate = "LM12 NOP")))
        put(Act.BeginWalk(BeginWalk(Stage.AS_FOUND)))
        for (panel in listOf("front-right-fender", "front-right-door", "rear-right-door")) {
            put(Act.RecordOutcome(RecordOutcome(panel = panel, outcome = Outcome.NOTHING_SEEN)))
        }
        put(Act.RecordMark(RecordMark(mark = Description(panel = "tailgate", from = Spot(500_000u, 500_000u), kind = MarkKind.SCRATCH, lengthUm = 32_000u, measured = Measured.RULER))))
        return other
    }

    /** Scenario 24: two people on one car, offline; joined by a shared file, both marks of the tailgate remain. */
    @Test
    fun twoPersons() {
        phone = Phone(seed = 24)
        phone.begin("LM12 NOP", "5-door hatch")
        val job = phone.walk.job
        repeat(3) { phone.touch("Nothing seen") }
        phone.goTo("tailgate")
        phone.strokeHere(40f, 4f)
        phone.type("Size in mm (may be left out)", "30")
        phone.touch("scratch")
        phone.back()
        phone.back()

        val file = File(phone.files, "colleague.sidelong")
        colleague(File(phone.files, "colleague").apply { mkdirs() }, job).use { it.pack(file.path, true) }
        val before = phone.touches
        phone.touch("Join another phone")
        phone.touch("Pick a file")
        val asked = shadowOf(phone.activity).nextStartedActivityForResult
        assertEquals(Intent.ACTION_OPEN_DOCUMENT, asked.intent.action)
        phone.give(asked.requestCode, file)
        assertTrue(phone.texts().toString(), phone.has("entries before 0, now"))
        println("scenario 24: joined with ${phone.touches - before} touches")
        val view = Notebooks.ask(phone) { it.job(job, Language.EN_GB) }
        assertEquals(2, view.phones.size)
        assertEquals(listOf("tailgate", "tailgate"), view.marks.map { it.panel })
        assertEquals("offered as maybe the same, and both stay", 1, view.maybeSame.size)
        assertEquals(2, view.marks.map { it.id }.toSet().size)
        assertEquals(emptyList<Any>(), Notebooks.ask(phone) { it.check(null) }.findings)
        phone.touch("Pick a file")
        phone.give(shadowOf(phone.activity).nextStartedActivityForResult.requestCode, file)
        assertTrue("a second time brings nothing", phone.has("Nothing new"))
        // A file that is something else is told, and ours is as it was.
        phone.touch("Pick a file")
        phone.give(shadowOf(phone.activity).nextStartedActivityForResult.requestCode, File(phone.files, "letter").apply { writeText("Dear owner") })
        assertTrue(phone.texts().toString(), phone.has("Your own record is unchanged"))
        assertEquals(view, Notebooks.ask(phone) { it.job(job, Language.EN_GB) })
    }

    /** A record that another program shares to us is joined as one that is picked; leaving the picker is no error. */
    @Test
    fun sharedToUs() {
        phone = Phone(seed = 31)
        val job = Notebooks.ask(phone) { it.newId() }
        val file = File(phone.files, "colleague.sidelong")
        colleague(File(phone.files, "colleague").apply { mkdirs() }, job).use { it.pack(file.path, false) }
        phone.touch("Join another phone")
        phone.touch("Pick a folder")
        phone.answer(shadowOf(phone.activity).nextStartedActivityForResult.requestCode, android.app.Activity.RESULT_CANCELED)
        assertEquals(null, phone.desk.problem)
        phone.back()
        phone.share(file)
        assertEquals(Names.JOIN, phone.screen.page.name)
        assertTrue(phone.texts().toString(), phone.has("entries before 0, now"))
        assertEquals(1, Notebooks.ask(phone) { it.job(job, Language.EN_GB) }.marks.size)
    }

    /** The report is handed to whoever is chosen, to read and nothing else; a way out of the folder is refused. */
    @Test
    fun theReportIsShared() {
        phone = Phone(seed = 32)
        phone.touch("New car")
        phone.touch("van")
        phone.touch("Nothing seen")
        phone.touch("More")
        phone.touch("Condition report")
        phone.touch("Share")
        val chooser = shadowOf(phone.activity).nextStartedActivity
        val intent = chooser.getParcelableExtra(Intent.EXTRA_INTENT, Intent::class.java)!!
        assertEquals("text/html", intent.type)
        assertTrue(intent.flags and Intent.FLAG_GRANT_READ_URI_PERMISSION != 0)
        assertEquals(0, intent.flags and Intent.FLAG_GRANT_WRITE_URI_PERMISSION)
        val uri = intent.getParcelableExtra(Intent.EXTRA_STREAM, Uri::class.java)!!
        val resolver = phone.activity.contentResolver
        val page = resolver.openInputStream(uri)!!.use { it.readBytes().decodeToString() }
        assertTrue(page.startsWith("<!DOCTYPE html>", ignoreCase = true))
        assertEquals("text/html", resolver.getType(uri))
        assertThrows(FileNotFoundException::class.java) { resolver.openOutputStream(uri, "w") }
        File(phone.files, "seed").copyTo(File(phone.files, "secret"), overwrite = true)
        for (path in listOf("shares/../secret", "shares/..%2Fsecret", "shares/%2e%2e/secret", "../seed", "seed", "shares", "shares/", "camera/../../seed", "camera/..%2F..%2Fseed", "shares/no-such-file", "notebook/sidelong.db", "shares/a/b")) {
            val bad = Uri.parse("content://app.sidelong.files/$path")
            assertThrows("$path is refused", Exception::class.java) { resolver.openInputStream(bad)!!.close() }
        }
        assertThrows(UnsupportedOperationException::class.java) { resolver.delete(uri, null, null) }
        assertThrows("a photo is written only where we made room for it", FileNotFoundException::class.java) {
            resolver.openOutputStream(FilesProvider.uri(FilesProvider.Folder.CAMERA, File(phone.desk.inbox, "other.jpg")), "w")
        }
    }

    /** The seed lies wrapped and nowhere else; without the key nothing is recorded, what is there is kept, and it is told. */
    @Test
    fun theKey() {
        phone = Phone(seed = 33)
        phone.touch("New car")
        phone.touch("van")
        val seed = File(phone.files, "seed").readBytes()
        val plain = FakeChest().unwrap(seed)
        assertEquals(32, plain.size)
        val files = phone.files.walk().filter { it.isFile }.toList()
        assertTrue(files.size > 3)
        for (file in files) assertEquals("${file.name} holds the seed", -1, indexOf(file.readBytes(), plain))
        phone.chest.broken = true
        phone.die()
        assertTrue(phone.texts().toString(), phone.desk.problem != null)
        phone.chest.broken = false
        phone.touch("Understood")
        phone.die()
        assertEquals(1, Notebooks.ask(phone) { it.jobs(null, 10u, Language.EN_GB) }.jobs.size)
    }

    /** Recording asks for nothing; the record of an earlier day is opened only by who can unlock the phone. */
    @Test
    fun earlierDays() {
        phone = Phone(seed = 34)
        phone.begin("RS12 TUV", "van")
        phone.back()
        shadowOf(phone.activity.getSystemService(android.app.KeyguardManager::class.java)).setIsDeviceSecure(true)
        phone.touch("RS12 TUV")
        assertEquals("today's is open at once", Names.JOB, phone.screen.page.name)
        phone.back()
        phone.clock.at.addAndGet(3 * 86_400_000L)
        phone.desk.screen.look()
        phone.settle()
        phone.touch("All jobs")
        phone.touch("RS12 TUV")
        assertEquals(Names.JOBS, phone.screen.page.name)
        val asked = shadowOf(phone.activity).nextStartedActivityForResult
        phone.answer(asked.requestCode, android.app.Activity.RESULT_CANCELED)
        assertEquals(Names.JOBS, phone.screen.page.name)
        phone.touch("RS12 TUV")
        phone.answer(shadowOf(phone.activity).nextStartedActivityForResult.requestCode, android.app.Activity.RESULT_OK)
        assertEquals(Names.JOB, phone.screen.page.name)
        phone.back()
        phone.touch("New car")
        assertEquals("recording asks for nothing", Names.NEW_JOB, phone.screen.page.name)
    }

    private fun indexOf(bytes: ByteArray, part: ByteArray): Int =
        (0..bytes.size - part.size).firstOrNull { at -> part.indices.all { bytes[at + it] == part[it] } } ?: -1
}
