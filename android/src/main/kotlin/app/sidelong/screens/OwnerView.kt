package app.sidelong.screens

import android.content.Context
import android.view.View
import android.widget.LinearLayout
import app.sidelong.R
import app.sidelong.widgets.*
import sidelong.core.ItemAsked

/** The owner's answer on a screen: read out entry by entry, then answered. */
class OwnerView(context: Context, private val ink: Ink, private val screen: OwnerScreen, lock: () -> Unit) : LinearLayout(context) {
    private val answers = screen.answers.associate { (answer, text) -> answer to Key(context, ink, text, weight = Weight.CHOICE) { screen.answer(answer) } }
    private val parties = screen.parties.associate { (party, text) -> party to Key(context, ink, text, gloves = false, weight = Weight.CHOICE) { screen.by(party) } }
    private val copies = screen.copies.associate { (copy, text) -> copy to Key(context, ink, text, weight = Weight.CHOICE) { screen.copy(copy) } }
    private val list = column(context, ink)
    private val items = mutableMapOf<String, Pair<Key, Key>>()
    private var shown: List<ItemAsked>? = null
    private val signature = SignatureView(context, ink).apply { drawn = screen::sign; contentDescription = context.getString(R.string.signature) }
    private val missing = words(context, ink, Ink.BODY, context.getString(R.string.answer_missing), ink.stop)

    init {
        orientation = VERTICAL
        val body = column(
            context, ink,
            Head(context, ink, { screen.desk.back() }, lock),
            words(context, ink, Ink.LEAD, context.getString(R.string.owners_answer)),
            words(context, ink, Ink.BODY, context.getString(R.string.who_answers)),
            Keys(context, ink, 3).apply { parties.values.forEach(::addView) },
            list,
            words(context, ink, Ink.LEAD, context.getString(R.string.the_answer)),
            Keys(context, ink, 2).apply { answers.values.forEach(::addView) },
            words(context, ink, Ink.LEAD, context.getString(R.string.the_copy)),
            Keys(context, ink, 3).apply { copies.values.forEach(::addView) },
            words(context, ink, Ink.BODY, context.getString(R.string.may_be_left_out), ink.second),
            field(context, ink, context.getString(R.string.name), screen.name) { screen.write("name", it) },
            field(context, ink, context.getString(R.string.sent_to), screen.sentTo) { screen.write("sent-to", it) },
            words(context, ink, Ink.BODY, context.getString(R.string.signature)),
            signature,
            Key(context, ink, context.getString(R.string.rub_signature), gloves = false) { screen.rubSignature() },
            missing,
            Key(context, ink, context.getString(R.string.save), weight = Weight.NEXT) { screen.save() },
        )
        addView(scrolled(context, body), LayoutParams(LayoutParams.MATCH_PARENT, LayoutParams.MATCH_PARENT))
        screen.changed = ::show
        show()
    }

    private fun show() {
        if (shown != screen.items) {
            shown = screen.items
            list.removeAllViews()
            items.clear()
            screen.items.forEach { item ->
                val yes = Key(context, ink, context.getString(R.string.agrees), gloves = false, weight = Weight.CHOICE) { screen.agree(item.entry, true) }
                val no = Key(context, ink, context.getString(R.string.does_not_agree), gloves = false, weight = Weight.CHOICE) { screen.agree(item.entry, false) }
                yes.contentDescription = "${yes.text}: ${item.text}"
                no.contentDescription = "${no.text}: ${item.text}"
                items[item.entry] = yes to no
                list.addView(column(context, ink,
                    words(context, ink, Ink.BODY, item.text), words(context, ink, Ink.SMALL, item.found, ink.second),
                    Keys(context, ink, 2).apply { addView(yes); addView(no) },
                    field(context, ink, context.getString(R.string.owners_words), screen.words(item.entry)) { screen.write("words ${item.entry}", it) }))
            }
        }
        items.forEach { (entry, keys) ->
            keys.first.chosen = screen.agreed(entry) == true
            keys.second.chosen = screen.agreed(entry) == false
        }
        answers.forEach { (answer, key) -> key.chosen = answer == screen.answer }
        parties.forEach { (party, key) -> key.chosen = party == screen.by }
        copies.forEach { (copy, key) -> key.chosen = copy == screen.copy }
        signature.strokes = screen.signature
        shown(missing, screen.missing)
    }
}
