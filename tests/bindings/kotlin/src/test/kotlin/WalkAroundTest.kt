import java.io.File
import java.security.MessageDigest
import java.security.SecureRandom
import java.util.UUID
import java.util.concurrent.Callable
import java.util.concurrent.Executors
import org.junit.Assert.assertEquals
import org.junit.Assert.assertNull
import org.junit.Assert.assertThrows
import org.junit.Assert.assertTrue
import org.junit.Rule
import org.junit.Test
import org.junit.rules.TemporaryFolder
import sidelong.core.*

private val photo = File(System.getProperty("sidelong.fixtures"), "photos/arrival-rear-right-door-close.jpg")

/** A UUID version 7 (RFC 9562 section 5.7). */
private fun newId(): String {
    val random = UUID.randomUUID()
    val high = System.currentTimeMillis() shl 16 or (7L shl 12) or (random.mostSignificantBits and 0xFFF)
    return UUID(high, random.leastSignificantBits).toString()
}

private class DeskClock : Clock {
    var at = 1_780_989_000_000

    @Synchronized
    override fun now(): Now {
        at += 5_000
        return Now(atMs = at, offMin = 60, zone = "Europe/London", boot = "b", monoMs = (at % 1_000_000_000).toULong())
    }
}

private class DeskRandom : Random {
    private val source = SecureRandom()

    override fun bytes(count: UInt) = ByteArray(count.toInt()).also(source::nextBytes)
}

private open class DeskVault : SeedVault {
    private var seed: ByteArray? = null

    override fun load() = seed

    override fun save(seed: ByteArray) {
        this.seed = seed
    }
}

private fun mark(length: UInt = 18_000u) = Description(
    panel = "rear-right-door",
    from = Spot(300_000u, 455_000u),
    to = Spot(330_000u, 470_000u),
    kind = MarkKind.SCRATCH,
    catch = Catch.SLIGHT,
    lengthUm = length,
    measured = Measured.RULER,
)

/** A walk-around through the Kotlin side, with the platform's traits written in Kotlin. */
class WalkAroundTest {
    @get:Rule
    val folder = TemporaryFolder()

    private val clock = DeskClock()

    private fun open(name: String, vault: SeedVault = DeskVault()) =
        Notebook.open(File(folder.root, name).path, Platform(clock, DeskRandom(), vault))

    private fun Notebook.record(job: String, act: Act, id: String = newId()) =
        recordFrom(photo.parent, Input(input = id, job = job, act = act))

    private fun Notebook.opened(): String {
        val job = newId()
        record(job, Act.OpenJob(OpenJob(BodyForm.HATCH5, Finish.METALLIC, listOf(Scope.OUTSIDE), plate = "ZZ26 KTL")))
        record(job, Act.BeginWalk(BeginWalk(Stage.AS_FOUND)))
        return job
    }

    @Test
    fun `a walk-around on two phones`() {
        val scratch = newId()
        val job = open("one").use { one ->
            val job = one.opened()
            val first = one.record(job, Act.RecordMark(RecordMark(mark = mark())), scratch)
            assertEquals("1", first.mark)
            assertEquals(first.copy(again = true), one.record(job, Act.RecordMark(RecordMark(mark = mark())), scratch))
            val reused = assertThrows(NotebookException.InputReused::class.java) {
                one.record(job, Act.RecordMark(RecordMark(mark = mark(19_000u))), scratch)
            }
            assertEquals(scratch, reused.input)
            one.record(job, Act.AttachPhoto(AttachPhoto(mark = scratch, view = Framing.CLOSE, file = photo.name)))
            one.record(job, Act.CorrectMark(CorrectMark(scratch, mark(20_000u), "measured again")))
            job
        }
        open("two").use { two ->
            assertEquals(listOf<RefusedView>(), two.join(File(folder.root, "one").path).refused)
            two.record(job, Act.CloseJob(CloseJob()))
            val view = two.job(job, Language.EN_GB)
            assertEquals(listOf("1"), view.marks.map { it.label })
            assertEquals(2, view.marks.single().history.size)
            val sha256 = MessageDigest.getInstance("SHA-256").digest(photo.readBytes()).joinToString("") { "%02x".format(it) }
            assertEquals(sha256, view.marks.single().photos.single().sha256)
            val page = two.report(job, Language.EN_US)
            assertTrue(page.startsWith("<!DOCTYPE html>") && "ZZ26 KTL" in page && "measured again" in page)
            val told = mutableListOf<Pair<ULong, ULong>>()
            val check = two.check(object : CheckProgress {
                override fun came(checked: ULong, total: ULong) = told.add(checked to total)
            })
            assertEquals(listOf<FindingView>(), check.findings)
            assertEquals(check.total to check.total, told.last())
        }
    }

    @Test
    fun `an error says what the core says`() {
        open("phone").use { phone ->
            val job = phone.opened()
            val refused = assertThrows(NotebookException.Refused::class.java) {
                phone.record(job, Act.RecordOutcome(RecordOutcome(panel = "keel", outcome = Outcome.NOTHING_SEEN)))
            }
            assertEquals("act.record_outcome.panel", refused.field)
            assertEquals("${refused.field}: ${refused.reason}", refused.toString())
            assertTrue("disk is full" in NotebookException.StorageFull().toString())
        }
    }

    @Test
    fun `a vault that fails`() {
        val unforeseen = object : DeskVault() {
            override fun load() = error("the key store is locked")
        }
        val told = assertThrows(NotebookException.Internal::class.java) { open("unforeseen", unforeseen) }
        assertTrue(told.toString(), "the key store is locked" in told.code)
        val foreseen = object : DeskVault() {
            override fun load() = throw NotebookException.SeedMissing("this phone")
        }
        assertEquals("this phone", assertThrows(NotebookException.SeedMissing::class.java) { open("foreseen", foreseen) }.log)
    }

    @Test
    fun `several threads take turns`() {
        open("phone").use { phone ->
            val job = phone.opened()
            val pool = Executors.newFixedThreadPool(4)
            val work = List(20) { Callable { phone.record(job, Act.RecordMark(RecordMark(mark = mark()))).mark } }
            val numbers = try {
                pool.invokeAll(work).map { it.get() }
            } finally {
                pool.shutdown()
            }
            assertEquals((1..20).map { "$it" }.toSet(), numbers.toSet())
            assertNull(phone.check(null).findings.firstOrNull())
        }
    }
}
