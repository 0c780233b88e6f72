package app.sidelong

import app.sidelong.screens.LayerScreen
import app.sidelong.screens.Names
import sidelong.core.*

// What every test of the work does with its hand.

private fun Phone.word(id: Int, vararg values: Any): String = activity.getString(id, *values)

/** A car, its walk begun, and its page with the ways to the work. */
fun Phone.beginWork(plate: String = "AB12 CDE") {
    touch(word(R.string.new_job))
    type(word(R.string.plate), plate)
    touch("saloon")
    touch(word(R.string.more))
}

/** The job that is open. */
val Phone.job: String get() = screen.page.about.getValue("job")

/** To the page of the job, by the ways back. */
fun Phone.toJob() { while (screen.page.name != Names.JOB) touch(word(R.string.back)) }

/** From the page of the job: says with which product of the starter set, and stands before the section. */
fun Phone.product(kind: String) {
    touch(word(R.string.begin_section))
    if (find(word(R.string.first_product)) != null) touch(word(R.string.first_product)) else touch(word(R.string.other_product))
    touch(kind)
}

/** A place of the whole car, where it is drawn. */
fun Phone.touchPlace(panel: String) {
    val layer = screen as LayerScreen
    if (!layer.whole) touch(word(R.string.whole_car))
    scrollTo(car)
    val at = drawnAt(layer.form!!, null, panel, Spot(500_000u, 500_000u))!!
    val (x, y) = onGlass(at.x, at.y)
    touch(x, y)
}

/** The sections that are open, as the core tells them: where, and how they stand. */
fun Phone.open(): List<Pair<String, String>> = Notebooks.ask(this) { core -> core.clocks(null, Language.EN_GB).open.map { it.section to it.text } }

fun Phone.work(): WorkView = job.let { job -> Notebooks.ask(this) { it.work(job, Language.EN_GB) } }
