-- Uses a thousandth of a mL of a jar again and again, each time as a form of its own; stops at a refusal.
math.randomseed(os.time())

request = function()
  local key = string.gsub("xxxxxxxx-xxxx-4xxx-8xxx-xxxxxxxxxxxx", "x", function()
    return string.format("%x", math.random(0, 15))
  end)
  return wrk.format("POST", nil, nil, "amount=0.001+mL&csrfmiddlewaretoken=" .. os.getenv("CSRF") .. "&key=" .. key)
end

response = function(status)
  if status ~= 302 then
    wrk.thread:stop()
  end
end
