package app.sidelong

import java.io.File
import javax.xml.parsers.DocumentBuilderFactory
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Test
import org.w3c.dom.Element

/** The shell stays thin, as text: no rule, no date, no unit is worked out in Kotlin; that is the core's. */
class SourceTest {
    private val home = File(System.getProperty("sidelong.sources")!!)
    private val sources = home.walk().filter { it.extension == "kt" }.toList()

    private fun found(files: List<File>, what: Regex, allowed: Set<String> = emptySet()) = files.filter { it.name !in allowed }.flatMap { file ->
        file.readLines().withIndex().filter { (_, line) -> what.containsMatchIn(line.substringBefore("//")) && !line.trimStart().startsWith("*") && !line.trimStart().startsWith("/*") }
            .map { (at, line) -> "${file.name}:${at + 1}: ${line.trim()}" }
    }

    @Test
    fun `there are sources`() = assertTrue(sources.size > 30)

    /** A date or a number with a unit is read as the core says it. */
    @Test
    fun `no dates and no units`() {
        assertEquals(emptyList<String>(), found(sources, Regex("""java\.time|java\.text|Calendar|SimpleDateFormat|DateFormat|DateUtils|DecimalFormat|NumberFormat|String\.format|\.format\(""")))
        assertEquals(emptyList<String>(), found(sources, Regex("""\b(1000|1_000|25\.4|1e3|1e6|1_000_000)\b"""), setOf("SignatureView.kt", "WetLock.kt")))
        assertEquals(emptyList<String>(), found(sources, Regex(""""[^"]*\b(mm|µm|um|km|°C|inch)\b[^"]*"""")))
    }

    /** What the time is is asked by the clock that the core is given, and nowhere else. */
    @Test
    fun `one clock`() =
        assertEquals(emptyList<String>(), found(sources, Regex("""currentTimeMillis|nanoTime|elapsedRealtime|LocalDate|Instant"""), setOf("PhoneClock.kt")))

    /** Verdicts are the core's: no shell compares what was felt, measured, or what kind a mark is. */
    @Test
    fun `no verdicts`() {
        val words = "MarkKind|FeelLevel|Reaction|NoReading|Catch|Shows|Holds|Why|OwnerAnswer|CopyGiven|Party"
        assertEquals(emptyList<String>(), found(sources, Regex("""(==|!=|when|is|in) *\(?($words)\.""")))
        assertEquals(emptyList<String>(), found(sources, Regex("""\.(average|sum|sumOf|min|max)\(\)"""), setOf("Parts.kt")))
        // A report's words about a car are the core's too.
        assertEquals(emptyList<String>(), found(sources, Regex("""(?i)"[^"]*(repaint|respray|accident|damage|insurance|guarantee|fault)[^"]*"""")))
    }

    /** A screen's model knows of the core and of the desk, and not of Android: the other phone's shell has the same. */
    @Test
    fun `models without Android`() {
        val models = sources.filter { it.name.endsWith("Screen.kt") || it.name in setOf("ChoiceScreens.kt", "Desk.kt", "Trail.kt", "Texts.kt") }
        assertTrue(models.size >= 14)
        assertEquals(emptyList<String>(), found(models, Regex("""\bandroid\.|app\.sidelong\.(widgets|platform)|\bR\.""")))
    }

    /** Every word of the chrome is there in both languages, with the same places for values. */
    @Test
    fun `strings in every language`() {
        val res = File(home.parentFile, "res")
        val texts = { folder: String ->
            val list = DocumentBuilderFactory.newInstance().newDocumentBuilder().parse(File(res, "$folder/strings.xml")).getElementsByTagName("string")
            (0 until list.length).map { list.item(it) as Element }.associate { it.getAttribute("name") to it.textContent }
        }
        val (english, arabic) = texts("values") to texts("values-ar")
        assertEquals(english.keys - "app_name", arabic.keys)
        val places = Regex("""%\d\$[sd]""")
        for ((name, text) in arabic) assertEquals(name, places.findAll(english.getValue(name)).map { it.value }.toSet(), places.findAll(text).map { it.value }.toSet())
        val used = sources.joinToString("\n") { it.readText() }
        val manifest = File(home.parentFile, "AndroidManifest.xml").readText()
        assertEquals("strings that nobody shows", emptyList<String>(), english.keys.filter { "R.string.$it" !in used && "@string/$it" !in manifest })
        val banned = Regex("""(?i)\b(fault|coverage|claim|seal|stance|certified|guarantee|insurance)\b|!""")
        assertEquals(emptyList<String>(), english.values.filter(banned::containsMatchIn))
    }
}
