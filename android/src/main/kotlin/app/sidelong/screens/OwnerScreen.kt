package app.sidelong.screens

import sidelong.core.*

/**
 * What the owner says to the record: as a whole, or entry by entry. Nothing is assumed: neither the answer nor what became
 * of the copy has a default, and a signature says no more than the core says of it.
 */
class OwnerScreen(desk: Desk, page: Page) : Screen(desk, page) {
    var items: List<ItemAsked> = emptyList()
        private set
    val answers get() = OwnerAnswer.entries.map { it to it.text(desk.language) }
    val parties get() = Party.entries.map { it to it.text(desk.language) }
    val copies get() = CopyGiven.entries.map { it to it.text(desk.language) }
    val answer get() = OwnerAnswer.entries.firstOrNull { it.name == typed("answer") }
    val by get() = Party.entries.firstOrNull { it.name == typed("by") } ?: Party.OWNER
    val copy get() = CopyGiven.entries.firstOrNull { it.name == typed("copy") }
    val name get() = typed("name") ?: ""
    val sentTo get() = typed("sent-to") ?: ""

    /** Strokes of the signature, thousandths of its field: x and y in turn. */
    val signature: List<List<Int>> get() = (typed("signature") ?: "").split('|').filter { it.isNotEmpty() }.map { stroke -> stroke.split(' ').mapNotNull { it.toIntOrNull() } }

    /** What is still missing before it can be saved. */
    var missing = false
        private set

    override fun look() {
        val (job, language) = about("job") to desk.language
        desk.ask({ core -> core.itemsAsked(job, language) }) { items = it; changed() }
    }

    fun answer(answer: OwnerAnswer) = type("answer", answer.name)
    fun by(party: Party) = type("by", party.name)
    fun copy(copy: CopyGiven) = type("copy", copy.name)

    /** Agreed, not agreed, or nothing said of one entry. */
    fun agreed(entry: String): Boolean? = typed("item $entry")?.toBooleanStrictOrNull()
    fun agree(entry: String, yes: Boolean) = type("item $entry", if (agreed(entry) == yes) null else yes.toString())
    fun words(entry: String): String = typed("words $entry") ?: ""

    /** A field that is typed in: kept without being drawn anew. */
    fun write(field: String, text: String) {
        page.typed[field] = text
        desk.keep()
    }

    fun sign(strokes: List<List<Int>>) = write("signature", strokes.joinToString("|") { it.joinToString(" ") })
    fun rubSignature() = type("signature", null)

    fun save() {
        val (answer, copy) = answer to copy
        missing = answer == null || copy == null
        if (answer == null || copy == null) return changed()
        val said = items.mapNotNull { item ->
            agreed(item.entry)?.let { ItemAnswer(item.entry, it, words(item.entry).trim().ifEmpty { null }) }
        }
        val strokes = signature.map { stroke -> Stroke(stroke.chunked(2).filter { it.size == 2 }.map { StrokePoint(it[0].toUShort(), it[1].toUShort()) }) }
        val recorded = RecordOwnerAnswer(
            answer = answer, by = by, name = name.trim().ifEmpty { null }, items = said, copy = copy,
            sentTo = sentTo.trim().ifEmpty { null }, signature = strokes.filter { it.points.isNotEmpty() },
        )
        desk.record(page, about("job"), Act.RecordOwnerAnswer(recorded)) { desk.back() }
    }
}
