package app.sidelong.platform

/** On a function that looks at `Build.VERSION.SDK_INT` before it calls what Android 8 lacks. */
@Retention(AnnotationRetention.BINARY)
annotation class Guarded

/** On a function that calls what came after Android 13, behind a look at `Build.VERSION.SDK_INT`. */
@Retention(AnnotationRetention.BINARY)
annotation class Newest
